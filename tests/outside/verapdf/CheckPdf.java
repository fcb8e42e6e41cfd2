// Runs the veraPDF engine: java CheckPdf.java FLAVOUR,... FILE... prints what each flavour finds in each file.
import java.io.*;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.*;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.*;
public class CheckPdf {
  public static void main(String[] a) throws Exception {
    VeraGreenfieldFoundryProvider.initialise();
    for (int i = 1; i < a.length; i++)
      for (String flavour : a[0].split(",")) check(flavour, new File(a[i]));
  }

  static void check(String flavour, File file) throws Exception {
    PDFAFlavour fl = PDFAFlavour.fromString(flavour);
    String name = file.getName() + " " + flavour + " ";
    try (InputStream in = new FileInputStream(file); PDFAParser p = Foundries.defaultInstance().createParser(in, fl)) {
      ValidationResult r = Foundries.defaultInstance().createValidator(fl, false).validate(p);
      System.out.println(name + r.isCompliant());
      for (TestAssertion t : r.getTestAssertions())
        if (t.getStatus() != TestAssertion.Status.PASSED) System.out.println(name + t.getRuleId().getClause() + "-" + t.getRuleId().getTestNumber() + " " + t.getMessage() + " " + t.getLocation().getContext());
    }
  }
}
