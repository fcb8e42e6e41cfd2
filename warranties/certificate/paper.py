"""What stands on the pages of a paper: its record put into words, its template filled in.

Every moment and identifier in the file comes from the record, so the same record makes the same
bytes with the same release of this program, WeasyPrint and the fonts.
"""

import json
import re
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing import as_svg, draw, in_language, in_words
from shared.days import day_said
from warranties.clauses import Clause, read_clauses
from warranties.runs import in_runs
from warranties.wording import Words, words

SCALE_BAR = 26  # units under the picture, for the bar that goes with it
ROOM = ("tall", "middle", "low", "small", "none")  # for the drawing on the first page
# What stands on the first page too, where the law wants it (16 CFR 701.3(a)(7)-(9)).
ON_THE_FACE = ("implied", "damages", "rights")


def print_certificate(record: dict[str, Any]) -> bytes:
    """Return the certificate's PDF, unsigned."""
    return print_paper(record, certificate_html(record))


def certificate_html(record: dict[str, Any]) -> list[str]:
    """Return drafts of the pages, from the tallest drawing on the first page to none.

    The last one moves the list of what was fitted to a page of its own: it fits whatever the list.
    """
    says = words(record["language"])
    page = {
        **common_page(record, says),
        "qr": qr_code(record["check_address"], says),
        "drawing": drawing(record["plan"], says, record["language"]),
        "fitted": [_fitted(each, says, record["language"]) for each in record["fitted"]],
        "plants": _plants(record),
        "proved": _proved(record, says),
        "lasts": says["lasts"].format(life=says[f"life-{record['basis']}"]),
        "check_how": says["check-how"].format(address=record["check_address"]),
        "care_plants": says["care_plants"].format(clearance=record["clearance"]),
    }
    rooms = ROOM if page["drawing"] else ROOM[-1:]
    drafts = [
        *({**page, "room": room} for room in rooms),
        {**page, "room": rooms[0], "apart": True},
    ]
    return [paper_html(record, "warranties/certificate.pdf.html", draft) for draft in drafts]


def paper_html(record: dict[str, Any], template: str, page: dict[str, Any]) -> str:
    with translation.override(record["language"]):
        return render_to_string(template, page)


def print_paper(record: dict[str, Any], drafts: Sequence[str]) -> bytes:
    """Return a paper's PDF with its record attached, by the first draft whose foot fits."""
    # Half a second and system libraries that only printing needs.
    from warranties.certificate import press  # noqa: PLC0415

    return press.pdf(
        drafts,
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


def drawing(plan: dict[str, Any], says: Words, language: str) -> dict[str, SafeString]:
    """Return the plan as SVG, `whole` with legend and key, `picture` without; none without a plan.

    The text alternative of the picture, which comes first, says the plan in words.
    """
    try:
        document = PlanDocument.from_json(plan)
    except UnreadablePlan:
        return {}
    drawn = draw(document)
    if drawn is None:
        return {}
    with translation.override(language):
        said = in_words(document, translate=gettext)
        whole = as_svg(drawn, label=says["drawing-again"], translate=gettext)
        picture = as_svg(drawn, label=f"{says['drawing']} {said}", translate=gettext)
    height = round(drawn.box.height / drawn.unit + SCALE_BAR, 1)
    cropped = re.sub(r'(viewBox="0 0 [0-9.]+ )[0-9.]+"', rf'\g<1>{height}"', picture, count=1)
    return {"picture": mark_safe(cropped), "whole": mark_safe(whole)}  # noqa: S308  # escaped


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


def _fitted(row: dict[str, Any], says: Words, language: str) -> dict[str, str]:
    with translation.override(language):
        places = in_language(row["places"], gettext).split("; ")
    return {"what": says[row["code"]], "places": "; ".join(in_runs(places))}


def _plants(record: dict[str, Any]) -> list[dict[str, str]]:
    with translation.override(record["language"]):
        return [
            {**plant, "place": in_language(plant["place"], gettext)} for plant in record["plants"]
        ]


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
    return day_said(date.fromisoformat(text), language) if text else ""
