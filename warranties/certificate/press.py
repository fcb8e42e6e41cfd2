"""HTML to PDF by WeasyPrint: archivable, readable aloud, the same every time.

One file is PDF/A-3a and PDF/UA-1 at once: WeasyPrint writes the first, `_finish` adds the
mark of the second (ISO 14289-1, 5) with the extension schema that PDF/A asks for. Only the bundled
fonts are read; nothing is fetched.
"""

from datetime import datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

from shared.pdf import engine, page, paper
from warranties.certificate.record import ATTACHMENT

STYLE = Path(__file__).with_name("paper.css")
MM_A_PIXEL = 25.4 / 96  # of CSS


_SAYS_ACCESSIBLE = b"""
<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>
"""


class LaidOut:
    """Pages that are not written yet."""

    def __init__(self, document: Any) -> None:
        self.document = document

    @property
    def count(self) -> int:
        return len(self.document.pages)

    def room_between(self, upper: str, lower: str) -> float:
        """Return how many mm of page one lie between two marks there, negative where they overlap.

        What slid off the page is as far off as the page is high.
        """
        page = self.document.pages[0]
        _x, low, *_size = page.anchors.get(upper, (0, page.height))
        _x, high, *_size = page.anchors.get(lower, (0, 0))
        return float(high - low) * MM_A_PIXEL


class Sheet:
    """A paper that carries a JSON, which also names the file."""

    def __init__(self, *, attached: str, about: str, made: datetime) -> None:
        self.attachment = engine().Attachment(
            string=attached,
            name=ATTACHMENT,
            description=about,
            relationship="Data",
            created=made,
            modified=made,
        )
        self.options = {
            "pdf_variant": "pdf/a-3a",
            "pdf_tags": True,
            "pdf_identifier": sha256(attached.encode()).digest()[:16],
        }

    def lay_out(self, html: str) -> LaidOut:
        return LaidOut(page(html).render(**paper(STYLE), **self.options))

    def pdf(self, laid_out: LaidOut) -> bytes:
        out = BytesIO()
        laid_out.document.write_pdf(
            out, finisher=_finish, attachments=[self.attachment], **self.options
        )
        return out.getvalue()


def bare_pdf(html: str) -> bytes:
    """Return the pages as the engine makes them by itself: the limit to measure against."""
    data: bytes = page(html).write_pdf(**paper(STYLE))
    return data


def _finish(_document: Any, pdf: Any) -> None:
    """Say that it is PDF/UA too, and name the attachment once: WeasyPrint 70 names it twice."""
    import pydyf  # noqa: PLC0415  # comes with WeasyPrint, as late

    pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(pdf.catalog["AF"]))
    for each in pdf.objects:
        if getattr(each, "extra", None) and each.extra.get("Subtype") == "/XML":
            each.stream = [
                part.replace(b"</rdf:RDF>", _SAYS_ACCESSIBLE + b"</rdf:RDF>")
                for part in each.stream
            ]
