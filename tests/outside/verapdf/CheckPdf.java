// Runs the veraPDF engine over one file: java CheckPdf FILE FLAVOUR... prints what each flavour finds.
import java.io.*;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.*;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.*;
public class CheckPdf {
  public static void main(String[] a) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    for (int i = 1; i < a.length; i++) {
      PDFAFlavour fl = PDFAFlavour.fromString(a[i]);
      try (InputStream in = new FileInputStream(a[0]); PDFAParser p = Foundries.defaultInstance().createParser(in, fl)) {
        ValidationResult r = Foundries.defaultInstance().createValidator(fl, false).validate(p);
        System.out.println(a[i] + " " + r.isCompliant());
        for (TestAssertion t : r.getTestAssertions())
          if (t.getStatus() != TestAssertion.Status.PASSED) System.out.println(a[i] + " " + t.getRuleId().getClause() + "-" + t.getRuleId().getTestNumber() + " " + t.getMessage() + " " + t.getLocation().getContext());
      }
    }
  }
}
