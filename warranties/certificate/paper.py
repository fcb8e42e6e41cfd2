"""What stands on the pages of a paper: its record put into words, its template filled in.

Every moment and identifier in the file comes from the record, so the same record makes the same
bytes with the same release of this program, WeasyPrint and the fonts.
"""

import json
from datetime import date, datetime
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils import dateformat as dates
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe

from warranties.clauses import Clause, read_clauses
from warranties.wording import Words, words

# What stands on the first page too, where the law wants it (16 CFR 701.3(a)(7)-(9)).
ON_THE_FACE = ("implied", "damages", "rights")


def print_certificate(record: dict[str, Any]) -> bytes:
    """Return the certificate's PDF, unsigned."""
    says = words(record["language"])
    page = {
        **common_page(record, says),
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
    # Half a second and system libraries that only printing needs.
    from warranties.certificate import press  # noqa: PLC0415

    with translation.override(record["language"]):
        html = render_to_string(template, page)
    return press.pdf(
        html,
        attached=attachment_text(record),
        about=f"{record['schema']}: {record['number']}",
        made=datetime.fromisoformat(record["issued_at"]),
    )


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


def common_page(record: dict[str, Any], says: Words) -> dict[str, Any]:
    terms = record["terms"]
    clauses = read_clauses(terms["body"])
    return {
        "record": record,
        "says": says,
        "paper_size": "letter" if record["home"]["country"] in {"US", "CA", "MX"} else "a4",
        "day": {
            key: day_text(record.get(key, ""), record["language"])
            for key in ("starts_on", "issued_on", "ends_on")
        },
        "clauses": clauses,
        "face": _face(clauses),
        "counsel": (
            says["counsel"].format(
                name=terms["counsel"], day=day_text(terms["counsel_on"], record["language"])
            )
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
    return sentence.format(day=day_text(proof["on"], record["language"]), name=proof["by"])


def day_text(text: str, language: str) -> str:
    """Return a day of a record written out in its language."""
    if not text:
        return ""
    with translation.override(language):
        return dates.format(date.fromisoformat(text), words(language)["day"])
