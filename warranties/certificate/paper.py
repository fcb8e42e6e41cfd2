"""What stands on the pages of a paper: its record put into words, its template filled in.

Every moment and identifier in the file comes from the record, so the same record makes the same
bytes with the same release of this program, WeasyPrint and the fonts.
"""

import json
from datetime import date, datetime
from math import inf
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from customers.plan.document import PlanDocument, UnreadablePlan
from customers.plan.drawing import (
    PlantSize,
    as_svg,
    draw,
    draw_within,
    in_language,
    in_words,
)
from shared.days import day_said
from warranties.certificate.layout import Layout, first_layout
from warranties.clauses import Clause, read_clauses
from warranties.runs import in_runs
from warranties.wording import Words, words

DRAWING_UNITS = 820.0  # of the drawing, across the face
UNIT_MM = 0.199  # what one is on the narrower paper: 15 of them, its letters, are over 8 pt
BELOW_PICTURE = 68.0  # units for scale bar and legend
REACH = ("name", "phone", "email")  # of the firm, by which a household calls it
# What stands on the first page too, where the law wants it (16 CFR 701.3(a)(7)-(9)).
ON_THE_FACE = ("implied", "damages", "rights")


def print_certificate(record: dict[str, Any]) -> bytes:
    """Return the certificate's PDF, unsigned."""
    page = certificate_page(record)
    sheet = _sheet(record)
    layout: Layout | None = first_layout(page, a4=page["paper_size"] == "a4")
    while layout:
        laid_out = sheet.lay_out(certificate_html(page, layout))
        spare = laid_out.room_between("end", "check")
        layout = layout.after(pages=laid_out.count, spare=spare)
    return sheet.pdf(laid_out)


def certificate_page(record: dict[str, Any]) -> dict[str, Any]:
    """Return what the template needs, but for layout and drawing."""
    says = words(record["language"])
    plan, key = _plan(record)
    return {
        **common_page(record, says),
        "plan": plan,
        "key": key,
        "qr": qr_code(record["check_address"], says),
        "called": says["certificate"],
        "fitted": [_fitted(each, says, record["language"]) for each in record["fitted"]],
        "plants": _plants(record),
        "proved": _proved(record, says),
        "lasts": says["lasts"].format(life=says[f"life-{record['basis']}"]),
        "check_how": says["check-how"].format(address=record["check_address"]),
        "doings": _doings(record, says),
        "reach": [record["firm"][key] for key in REACH if record["firm"][key]],
    }


def certificate_html(page: dict[str, Any], layout: Layout) -> str:
    record = page["record"]
    shown = {**page, "layout": layout, "drawing": _drawing(page, layout.drawing)}
    return paper_html(record, "warranties/certificate.pdf.html", shown)


def paper_html(record: dict[str, Any], template: str, page: dict[str, Any]) -> str:
    with translation.override(record["language"]):
        return render_to_string(template, page)


def print_paper(record: dict[str, Any], html: str) -> bytes:
    """Return a paper's PDF with its record attached."""
    sheet = _sheet(record)
    return sheet.pdf(sheet.lay_out(html))


def _sheet(record: dict[str, Any]) -> Any:
    # Half a second and system libraries that only printing needs.
    from warranties.certificate import press  # noqa: PLC0415

    return press.Sheet(
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


def _plan(record: dict[str, Any]) -> tuple[PlanDocument | None, list[tuple[str, str]]]:
    """Return the plan as fitted and what each number in its drawing is; None where there is none
    to draw."""
    try:
        plan = PlanDocument.from_json(record["plan"])
    except UnreadablePlan:
        return None, []
    drawn = draw(plan)
    if drawn is None:
        return None, []
    with translation.override(record["language"]):
        return plan, [
            (drawn.numbers[each.id], each.name.strip() or gettext(each.kind))
            for each in plan.features
            if each.id in drawn.numbers
        ]


def _drawing(page: dict[str, Any], height: int) -> SafeString:
    """Return the plan as SVG with scale bar and legend, so high; "" without a plan.

    Its letters are as large in every home. The text alternative says the plan in words. Plants
    stand as they stood at the proof.
    """
    plan, says = page["plan"], page["says"]
    if plan is None:
        return SafeString("")
    plants = {each.id: PlantSize(float(each.clearance_mm or 0), inf) for each in plan.features}
    drawn = draw_within(plan, DRAWING_UNITS, height / UNIT_MM - BELOW_PICTURE, plants=plants)
    if drawn is None:
        return SafeString("")
    with translation.override(page["record"]["language"]):
        said = in_words(plan, translate=gettext)
        svg = as_svg(
            drawn,
            label=f"{says['drawing']} {said}",
            foot="legend",
            least_width=DRAWING_UNITS,
            translate=gettext,
        )
    return mark_safe(svg)  # noqa: S308  # escaped


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
        "title": _title(terms["title"]),
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


def _title(title: str) -> tuple[str, str]:
    """Return the title, and apart from it what it says once more in brackets at its end."""
    main, bracket, rest = title.partition(" (")
    return (main, f"({rest}") if bracket and rest.endswith(")") else (title, "")


def _doings(record: dict[str, Any], says: Words) -> list[str]:
    """Return what keeps the ring closed, and what to do after a sting."""
    plants = says["care_plants"].format(clearance=record["clearance"])
    return [plants, says["care_lines"], says["care_wash"], says["care_sting"]]


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
