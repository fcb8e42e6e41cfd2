"""HTML to PDF by WeasyPrint: archivable, readable aloud, the same every time.

One file is PDF/A-3a and PDF/UA-1 at once: WeasyPrint writes the first, `_finish` adds the
mark of the second (ISO 14289-1, 5) with the extension schema that PDF/A asks for. Only the bundled
fonts are read; nothing is fetched.
"""

from collections.abc import Iterable
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

from shared.pdf import engine, page, paper
from warranties.certificate.record import ATTACHMENT

STYLE = Path(__file__).with_name("paper.css")


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


def pdf(drafts: Iterable[str], *, attached: str, about: str, made: datetime) -> bytes:
    """Return the pages with the JSON attached. What is attached also names the file.

    Of the drafts, the first is taken whose element with the id "foot" stands on page one, else
    the last.
    """
    attachment = engine().Attachment(
        string=attached,
        name=ATTACHMENT,
        description=about,
        relationship="Data",
        created=made,
        modified=made,
    )
    options = {
        "pdf_variant": "pdf/a-3a",
        "pdf_tags": True,
        "pdf_identifier": sha256(attached.encode()).digest()[:16],
    }
    out = BytesIO()
    for html in drafts:
        pages = page(html).render(**paper(STYLE), **options)
        if "foot" in pages.pages[0].anchors:
            break
    pages.write_pdf(out, finisher=_finish, attachments=[attachment], **options)
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
