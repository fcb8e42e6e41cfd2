"""Each worked case of the Magnuson-Moss rules (W-01 to W-62), and the test that decides it as ours.

15 USC 2301-2312; 16 CFR 239, 429, 700, 701, 702; the cases stand, worked, in our notes on the law.
Here are those that need the program's tables; CASES says where every other one is, and NOT_OURS
which ask for what this program does not decide, and why.
"""

import re
from datetime import timedelta

import pytest

from tests.factories import NOON, make_household, make_job
from tests.published import ROOT
from tests.warranties.certified import make_certificate, make_open_promise, make_proved_job
from warranties.actions import callbacks, promising, transferring
from warranties.disclosures import due
from warranties.models import Certificate, CheckPlan, Promise
from warranties.models.terms import bases

TERMS = "warranties/test_disclosures.py::test_the_cases_of_the_law"
PRICE = "warranties/test_disclosures.py::test_what_is_due_by_price"
DECISION = "warranties/test_decision.py"
SALE = "outside/test_sale_at_home.py"
HERE = "outside/test_warranty_act.py"
CASES = {
    "W-01": f"{HERE}::test_the_new_owner_may_claim",
    **dict.fromkeys(("W-02", "W-03"), TERMS),
    **dict.fromkeys(("W-09", "W-17"), f"{HERE}::test_work_alone_opens_no_promise"),
    "W-10": "warranties/test_promising.py::test_the_proof_opens_the_promise",
    **dict.fromkeys((f"W-{n}" for n in range(11, 17)), PRICE),
    **dict.fromkeys((f"W-{n}" for n in range(18, 25)), TERMS),
    "W-25": "outside/test_certificate_disclosures.py::test_every_item_stands_in_the_one_document",
    **dict.fromkeys((f"W-{n}" for n in range(26, 34)), TERMS),
    "W-34": f"{DECISION}::test_after_repairs_that_failed_a_full_warranty_gives_the_choice",
    "W-35": f"{DECISION}::test_trimming_must_be_printed_as_theirs_to_do",
    **dict.fromkeys((f"W-{n}" for n in range(36, 42)), TERMS),
    **dict.fromkeys(("W-42", "W-44"), f"{SALE}::test_warranty_must_be_shown_before"),
    "W-43": f"{SALE}::test_warranty_shown_three_minutes_before_is_enough",
    "W-45": "jobs/test_offer_pages.py::test_paper_carries_the_statements_twice_filled_in",
    "W-46": f"{SALE}::test_right_to_cancel_must_be_told_aloud",
    "W-47": "jobs/test_agreed_paper.py::"
    "test_changed_terms_are_refused_and_told_in_the_reader_s_language",
    **dict.fromkeys(("W-48", "W-49", "W-53", "W-54", "W-61"), TERMS),
    "W-50": f"{HERE}::test_the_new_owner_may_claim",
    "W-51": f"{HERE}::test_no_life_is_without_an_end",
    "W-52": f"{HERE}::test_no_page_and_no_mail_of_ours_speaks_of_a_lifetime",
    **dict.fromkeys(("W-57", "W-59"), f"{HERE}::test_promise_and_visits_are_two_records"),
}
NOT_OURS = {
    **dict.fromkeys(("W-04", "W-05"), "a refund is no remedy of the shipped terms; people note it"),
    **dict.fromkeys(("W-06", "W-07", "W-08"), "whether the Act applies: we keep it as if it did"),
    **dict.fromkeys(("W-55", "W-56"), "terms of sale are the firm's own notes on an offer"),
    **dict.fromkeys(("W-58", "W-60"), "no plan of checks and no promise is sold apart"),
    "W-62": "a promise opens with the proof: there is no sale without one",
}


def test_every_case_is_decided_or_named_as_not_ours() -> None:
    assert sorted({*CASES, *NOT_OURS}) == [f"W-{n:02d}" for n in range(1, 63)]
    assert not {*CASES} & {*NOT_OURS}


@pytest.mark.parametrize("where", sorted({*CASES.values()}))
def test_the_test_that_is_named_is_there(where: str) -> None:
    path, _, name = where.partition("::")

    assert re.search(rf"^(def )?{name}\b", (ROOT / "tests" / path).read_text(), re.MULTILINE)


@pytest.mark.django_db
def test_the_new_owner_may_claim() -> None:
    """15 USC 2301(3): whoever it is transferred to is a consumer. The home's life goes on."""
    promise = make_certificate().promise
    move = transferring.Move(make_household(), NOON.date() + timedelta(days=9))
    transfer = transferring.start_transfer(promise=promise, move=move, at=NOON)
    for side in (transfer.old, transfer.new):
        transferring.agree(transfer=transfer, household=side, at=NOON + timedelta(days=9))

    promise.refresh_from_db()
    callback = callbacks.log_callback(promise=promise, report="One.", at=NOON + timedelta(days=10))

    assert (promise.state, promise.holder) == ("in-force", transfer.new)
    assert callback.promise.terms == promise.terms


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["check", "repair"])
def test_work_alone_opens_no_promise(kind: str) -> None:
    """16 CFR 700.1(h): a warranty on work alone is none; what was promised before governs."""
    before = make_certificate()
    job, proof = make_proved_job(job=make_job(home=before.promise.home, kind=kind, stage="proved"))

    opened = promising.open_promise(job=job, proof=proof, at=NOON + timedelta(days=9))

    assert opened is None
    assert Promise.objects.get() == before.promise
    assert Certificate.objects.get() == before


@pytest.mark.django_db
def test_promise_and_visits_are_two_records() -> None:
    """16 CFR 700.11(c): visits are a service contract, "even when ... without charge"."""
    promise = make_open_promise()

    plan = CheckPlan.objects.get()

    assert (promise.terms.paper, plan.terms.paper) == ("promise", "checks")
    assert plan.number != promise.number
    assert "visit" not in promise.terms.title.lower()
    assert plan.ends_on > plan.starts_on == promise.starts_on


def test_no_life_is_without_an_end() -> None:
    """16 CFR 701.3(a)(4): a measurement of duration. "The life of the product" has none."""
    assert [code for code, _ in bases()] == ["home", "ownership"]


@pytest.mark.parametrize("folder", ["templates", "fixtures/notices", "jobs"])
def test_no_page_and_no_mail_of_ours_speaks_of_a_lifetime(folder: str) -> None:
    """16 CFR 239.4: whose life must stand beside the word; ours say it in the terms alone."""
    files = [
        path
        for kind in ("*.html", "*.txt", "*.py")
        for path in (ROOT / folder).rglob(kind)
        if "migrations" not in path.parts
    ]
    word = re.compile(r"\blife-?\s?time\b|\bfor life\b|\blifelong\b|de por vida", re.IGNORECASE)

    assert files
    assert [str(path) for path in files if word.search(path.read_text())] == []


def test_a_price_that_nobody_knows_brings_every_duty() -> None:
    duties = due(None)

    assert duties.designation
    assert duties.disclosures
    assert duties.shown_before_sale
