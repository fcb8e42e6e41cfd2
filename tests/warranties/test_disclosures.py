"""Terms are read for what the law wants in them; the cases are those of our notes on the law."""

import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from warranties.actions.terming import Wording, wording_faults
from warranties.clauses import fill, read_clauses, read_draft
from warranties.disclosures import (
    DAMAGES_STATEMENT,
    IMPLIED_STATEMENT,
    RIGHTS_STATEMENT,
    Paper,
    due,
    faults,
)

DRAFTS = Path(__file__).resolve().parents[2] / "fixtures" / "terms"
FIRM = "Dry Creek Barrier Co."
ADDRESS = "12 Depot Road, Mesquite Flat, AZ 85000"

WHOLE = f"""What is covered: the strip. We repair or replace it. It starts on the day of the proof
and lasts as long as the home at this address stands. 1. Call {FIRM}, {ADDRESS}. 2. Tell us what
you saw. {RIGHTS_STATEMENT}"""
PAPER = Paper(title="Limited warranty", text=WHOLE, firm=FIRM, contact=(ADDRESS,), basis="home")


def rules(paper: Paper) -> list[str]:
    return [fault.rule for fault in faults(paper)]


def with_text(more: str, **fields: Any) -> Paper:
    return replace(PAPER, text=f"{WHOLE} {more}", **fields)


def test_a_whole_paper_has_no_fault() -> None:
    assert faults(PAPER) == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_shipped_drafts_have_no_fault(language: str) -> None:
    head, body = read_draft((DRAFTS / f"promise.{language}.md").read_text())
    life = {
        "en": "as long as the house at this address stands, whoever owns it",
        "es": "mientras la casa de esta dirección siga en pie, sea quien sea su dueño",
    }[language]
    values = {"firm": FIRM, "address": ADDRESS, "life": life}
    clauses = read_clauses(fill(body, values))
    paper = Paper(
        title=head["title"],
        text="\n".join(clause.as_read for clause in clauses),
        firm=FIRM,
        contact=(ADDRESS,),
        basis=head["basis"],
        headings=tuple(clause.title for clause in clauses),
    )

    assert faults(paper) == []


HEADINGS = (
    "What is covered",
    "What we do when it fails: we repair or replace",
    "When it starts and how long it lasts",
    "How to get it: call or write",
)


def test_headings_alone_are_no_disclosure() -> None:
    paper = replace(
        PAPER,
        text=f"{' '.join(HEADINGS)} {FIRM}, {ADDRESS}. {RIGHTS_STATEMENT}",
        headings=HEADINGS,
        bare=HEADINGS[:1],
    )

    assert rules(paper) == [
        "701.3(a)", "701.3(a)(2)", "701.3(a)(3)", "701.3(a)(4)", "701.3(a)(5)",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("clause", "rule"),
    [
        ("covers", "701.3(a)(2)"),
        ("we-do", "701.3(a)(3)"),
        ("lasts", "701.3(a)(4)"),
        ("how", "701.3(a)(5)"),
        ("rights", "701.3(a)(9)"),
    ],
)
def test_a_shipped_clause_is_missed_when_its_heading_stands_alone(clause: str, rule: str) -> None:
    head, body = read_draft((DRAFTS / "promise.en.md").read_text())
    emptied = re.sub(rf"(## [^\n]*\[{clause}\]\n).*?(?=\n## |\Z)", r"\1", body, flags=re.DOTALL)
    wording = Wording(title=head["title"], body=emptied, basis="home")

    found = {fault.rule for fault in wording_faults("promise", "en", wording)}

    assert found == {"701.3(a)", rule}


def test_what_is_missing_is_said_in_the_words_of_the_law() -> None:
    (fault,) = faults(replace(PAPER, text=WHOLE.replace("2. Tell us what\nyou saw.", "")))

    assert fault.rule == "701.3(a)(5)"
    assert fault.law.startswith("A step-by-step explanation of the procedure which the consumer")


@pytest.mark.parametrize(
    "denied", ["We do not repair or replace it.", "We never repair; nor do we replace."]
)
def test_a_remedy_that_is_denied_is_none(denied: str) -> None:
    text = WHOLE.replace("We repair or replace it.", denied)

    assert rules(replace(PAPER, text=text)) == ["701.3(a)(3)"]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_shipped_drafts_have_the_clauses_that_decisions_name(language: str) -> None:
    _, body = read_draft((DRAFTS / f"promise.{language}.md").read_text())
    names = [clause.name for clause in read_clauses(body)]
    items = [item for clause in read_clauses(body) for item in clause.items]

    assert names == [
        "holder", "covers", "not-covered", "we-do", "lasts", "how", "your-part", "suspend",
        "transfer", "disputes", "implied", "damages", "rights",
    ]  # fmt: skip
    assert items == [
        "exceptions", "plants-touch", "changes", "damage", "inside", "plants", "new-lines", "bare",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("price", "designation", "disclosures"),
    [
        ("10.00", False, False),
        ("10.01", True, False),
        ("14.90", True, False),
        ("15.00", True, False),
        ("15.01", True, True),
        ("4800.00", True, True),
    ],
    ids=["W-12", "W-13", "W-11", "W-14", "W-15", "W-16"],
)
def test_what_is_due_by_price(price: str, designation: bool, disclosures: bool) -> None:
    duties = due(Decimal(price))

    assert (duties.designation, duties.disclosures) == (designation, disclosures)
    assert duties.shown_before_sale == disclosures


@pytest.mark.parametrize(
    ("taken", "rule"),
    [
        ("What is covered", "701.3(a)(2)"),
        ("We repair or replace it.", "701.3(a)(3)"),
        ("It starts on the day of the proof", "701.3(a)(4)"),
        ("as long as the home at this address stands", "701.3(a)(4)"),
        (ADDRESS, "701.3(a)(5)"),
        (FIRM, "701.3(a)(5)"),
        (RIGHTS_STATEMENT, "701.3(a)(9)"),
    ],
)
def test_each_item_is_missed(taken: str, rule: str) -> None:
    assert rules(replace(PAPER, text=WHOLE.replace(taken, ""))) == [rule]


IMPLIED = "Implied warranties are limited to one year."
DAMAGES = "We do not pay for incidental or consequential damages."


LIMITED = "Limited Lifetime Warranty"
FULL = "Full warranty"
OWNED = "For the owner named above, as long as you own the home."
CASES: dict[str, tuple[Paper, list[str]]] = {
    "W-02": (
        replace(PAPER, text="The strip will stay clean."),
        ["701.3(a)(2)", "701.3(a)(3)", "701.3(a)(4)", "701.3(a)(5)", "701.3(a)(9)"],
    ),
    "W-03": (
        with_text(f"We repair what comes loose. {OWNED}", basis="ownership"),
        [],
    ),
    "W-18": (replace(PAPER, text=WHOLE.replace(RIGHTS_STATEMENT, "")), ["701.3(a)(9)"]),
    "W-19": (PAPER, []),
    "W-23": (replace(PAPER, text=WHOLE.replace("starts on", "is of")), ["701.3(a)(4)"]),
    "W-24": (
        replace(PAPER, text=WHOLE.replace("starts on", "is of"), starts_at_purchase=True),
        [],
    ),
    "W-20, no statement": (with_text(IMPLIED), ["701.3(a)(7)"]),
    "W-20, on the face": (with_text(f"{IMPLIED} {IMPLIED_STATEMENT}"), []),
    "W-20": (with_text(f"{IMPLIED} {IMPLIED_STATEMENT}", face="Page one."), ["701.3(a)(7)"]),
    "W-21": (with_text(DAMAGES), ["701.3(a)(8)"]),
    "W-21, mended": (with_text(f"{DAMAGES} {DAMAGES_STATEMENT}"), []),
    "W-22": (with_text("Not transferable."), ["701.3(a)(1)"]),
    "a mechanism": (replace(PAPER, mechanism="Desert Mediation Board"), ["701.3(a)(6)"]),
    "W-26": (replace(PAPER, title="Lifetime Warranty"), ["2303(a)"]),
    "W-27": (replace(PAPER, title=LIMITED), []),
    "W-28": (with_text(f"{IMPLIED} {IMPLIED_STATEMENT}", title=FULL), ["2304(a)(2)"]),
    "W-29": (with_text("A trip charge of 75.00 applies.", title=FULL), ["2304(a)(1)"]),
    "W-30": (with_text(f"{OWNED} Transfer ends it.", title=FULL, basis="ownership"), []),
    "W-31": (
        with_text("25 years, for owners named. Not transferable.", title=FULL),
        ["700.6(b)"],
    ),
    "W-32": (
        with_text(f"{OWNED} The original invoice is required.", title=FULL, basis="ownership"),
        ["700.6(b)"],
    ),
    "W-33": (with_text("Our decision is final."), ["700.8"]),
    "W-33, alone": (with_text("We alone decide what is a defect."), ["700.8"]),
    "W-36": (with_text(f"This is void if plants are not trimmed by {FIRM}."), ["700.10"]),
    "W-37": (with_text("Keep plants 12 in back, cut by anyone."), []),
    "W-38": (with_text(f"It is void if checks are not bought from {FIRM}."), ["700.10"]),
    "W-39": (with_text(f"A free yearly check by {FIRM}; missing it does not end cover."), []),
    "W-40": (with_text("Use only Clearbond sealant for repairs you make."), ["700.10"]),
    "W-41": (with_text("Not covered: damage we can show came from another's sealant."), []),
    "W-48": (with_text("It is a lifetime promise.", basis=""), ["239.4"]),
    "W-49": (with_text("It is for life.", basis="ownership"), ["239.4", "701.3(a)(1)"]),
    "W-53": (with_text("It lasts forever."), ["239.4"]),
    "W-54": (with_text("30-day satisfaction guarantee."), ["700.3(b)"]),
    "W-61": (with_text("There are no implied warranties."), ["2308(a)"]),
    "W-33, in Spanish": (with_text("Nuestra decisión es definitiva."), ["700.8"]),
    "W-54, in Spanish": (with_text("Satisfacción garantizada."), ["700.3(b)"]),
    "W-61, in Spanish": (with_text("Sin garantías implícitas."), ["2308(a)"]),
    "W-31, in Spanish": (
        with_text("25 años, para el dueño. No es transferible. Owner named.", title=FULL),
        ["700.6(b)"],
    ),
    "W-29, in Spanish": (with_text("Hay un cargo por visita.", title=FULL), ["2304(a)(1)"]),
    "2304(a)(3)": (
        with_text(f"{DAMAGES} {DAMAGES_STATEMENT}", title=FULL, face="Page one."),
        ["2304(a)(3)"],
    ),
    "2304(a)(3), on the face": (
        with_text(f"{DAMAGES} {DAMAGES_STATEMENT}", title=FULL, face=DAMAGES),
        [],
    ),
    "S-22, in Spanish": (with_text("Casa libre de alacranes."), ["claims"]),
    "S-22": (with_text("Your home is scorpion-proof."), ["claims"]),
}


@pytest.mark.parametrize(("paper", "expected"), CASES.values(), ids=CASES)
def test_the_cases_of_the_law(paper: Paper, expected: list[str]) -> None:
    assert rules(paper) == expected
