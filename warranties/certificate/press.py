"""HTML to PDF by WeasyPrint: archivable, readable aloud, the same every time.

One file is PDF/A-3a and PDF/UA-1 at once: WeasyPrint writes the first, `_finish` adds the
mark of the second (ISO 14289-1, 5) with the extension schema that PDF/A asks for. Only the bundled
fonts are read; nothing is fetched.
"""

from collections.abc import Iterable
from datetime import datetime
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pydyf
from django.conf import settings
from weasyprint import CSS, HTML, Attachment
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

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
    attachment = Attachment(
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
    fonts, style = _type()
    out = BytesIO()
    for html in drafts:
        pages = HTML(string=html, url_fetcher=_no_network()).render(
            stylesheets=[style], font_config=fonts, **options
        )
        if "foot" in pages.pages[0].anchors:
            break
    pages.write_pdf(out, finisher=_finish, attachments=[attachment], **options)
    return out.getvalue()


def bare_pdf(html: str) -> bytes:
    """Return the pages as the engine makes them by itself: the limit to measure against."""
    fonts, style = _type()
    data: bytes = HTML(string=html, url_fetcher=_no_network()).write_pdf(
        stylesheets=[style], font_config=fonts
    )
    return data


@cache
def _type() -> tuple[FontConfiguration, CSS]:
    """One font configuration a process: a new one each time costs memory that never returns."""
    fonts = FontConfiguration()
    style = STYLE.read_text().replace(
        "{fonts}", (settings.BASE_DIR / "shared/static/shared/fonts").as_uri()
    )
    return fonts, CSS(string=style, font_config=fonts, url_fetcher=_no_network())


def _no_network() -> URLFetcher:
    return URLFetcher(allowed_protocols=["file", "data"])


def _finish(_document: Any, pdf: Any) -> None:
    """Say that it is PDF/UA too, and name the attachment once: WeasyPrint 70 names it twice."""
    pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(pdf.catalog["AF"]))
    for each in pdf.objects:
        if getattr(each, "extra", None) and each.extra.get("Subtype") == "/XML":
            each.stream = [
                part.replace(b"</rdf:RDF>", _SAYS_ACCESSIBLE + b"</rdf:RDF>")
                for part in each.stream
            ]
