"""The pages of a paper: HTML by a template, PDF by WeasyPrint, archivable and readable aloud.

One file is PDF/A-3a and PDF/UA-1 at once: WeasyPrint writes the first, `_say_accessible` adds the
mark of the second (ISO 14289-1, 5) with the extension schema that PDF/A asks for. The record goes
along as an attachment. Every moment and identifier in the file comes from the record, so the same
record makes the same bytes with the same release of this program, WeasyPrint and the fonts.
"""

import json
from datetime import date, datetime
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from weasyprint import CSS, HTML, Attachment
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

from warranties.clauses import Clause, read_clauses
from warranties.wording import Words, words

STYLE = Path(__file__).resolve().parent.parent / "static" / "warranties" / "css" / "paper.css"
ATTACHMENT = "certificate.json"
# What stands on the first page too, where the law wants it (16 CFR 701.3(a)(7)-(9)).
ON_THE_FACE = ("implied", "damages", "rights")

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


def print_certificate(record: dict[str, Any]) -> bytes:
    """Return the certificate's PDF, unsigned."""
    says = words(record["language"])
    page = {
        **_page(record, says),
        "qr": qr_code(record["check_address"], says),
        "fitted": [{"what": says[each["code"]], **each} for each in record["fitted"]],
        "proved": _proved(record, says),
        "lasts": says["lasts"].format(life=says[f"life-{record['basis']}"]),
        "check_how": says["check-how"].format(address=record["check_address"]),
        "care_plants": says["care_plants"].format(clearance=record["clearance"]),
    }
    return print_paper(record, "warranties/certificate.pdf.html", page)


def print_paper(record: dict[str, Any], template: str, page: dict[str, Any]) -> bytes:
    """Return a paper's PDF with its record attached."""
    made = datetime.fromisoformat(record["issued_at"])
    text = attachment_text(record)
    with translation.override(record["language"]):
        html = render_to_string(template, page)
    attachment = Attachment(
        string=text,
        name=ATTACHMENT,
        description=f"{record['schema']}: {record['number']}",
        relationship="Data",
        created=made,
        modified=made,
    )
    fonts, style = _type()
    out = BytesIO()
    HTML(string=html, base_url=str(STYLE.parent), url_fetcher=_no_network()).write_pdf(
        out,
        stylesheets=[style],
        font_config=fonts,
        attachments=[attachment],
        pdf_variant="pdf/a-3a",
        pdf_tags=True,
        pdf_identifier=sha256(text.encode()).digest()[:16],
        finisher=_say_accessible,
    )
    return out.getvalue()


def attachment_text(record: dict[str, Any]) -> str:
    """Return the record as the JSON that is attached, keys in order."""
    return json.dumps(record, ensure_ascii=False, sort_keys=True, indent=1)


def qr_code(address: str, says: Words) -> SafeString:
    """Return the code that opens the address as SVG that says so."""
    svg = segno.make(address, error="m", micro=False).svg_inline(
        border=2,
        svgclass="qr",
        lineclass=None,
        omitsize=True,
        title=says["qr"].format(address=address),
    )
    return mark_safe(svg)  # noqa: S308  # segno escapes its title


def _page(record: dict[str, Any], says: Words) -> dict[str, Any]:
    terms = record["terms"]
    clauses = read_clauses(terms["body"])
    return {
        "record": record,
        "says": says,
        "style": STYLE.name,
        "paper_size": "letter" if record["home"]["country"] in {"US", "CA", "MX"} else "a4",
        "day": {key: _day(record.get(key, "")) for key in ("starts_on", "issued_on", "ends_on")},
        "clauses": clauses,
        "face": _face(clauses),
        "counsel": (
            says["counsel"].format(name=terms["counsel"], day=_day(terms["counsel_on"]))
            if terms["counsel"]
            else says["draft"]
        ),
        "version": says["version"].format(version=terms["version"]),
    }


def _face(clauses: list[Clause]) -> list[Clause]:
    by_name = {clause.name: clause for clause in clauses}
    return [by_name[name] for name in ON_THE_FACE if name in by_name]


def _proved(record: dict[str, Any], says: Words) -> str:
    proof = record["proof"]
    if not proof["on"]:
        return ""
    sentence = says["proved" if proof["by"] else "proved-unnamed"]
    with translation.override(record["language"]):
        return sentence.format(day=_day(proof["on"]), name=proof["by"])


def _day(text: str) -> str:
    """Return a day of a record as it is written out in the language that is on."""
    return date_format(date.fromisoformat(text), "DATE_FORMAT") if text else ""


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


def _say_accessible(_document: Any, pdf: Any) -> None:
    for each in pdf.objects:
        if getattr(each, "extra", None) and each.extra.get("Subtype") == "/XML":
            each.stream = [
                part.replace(b"</rdf:RDF>", _SAYS_ACCESSIBLE + b"</rdf:RDF>")
                for part in each.stream
            ]
