"""What warranties does when jobs or customers report something."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from customers import outlooks, sheet, story
from customers.actions.planting import AskFirst
from customers.finding import register_words
from customers.importing import Arrival
from customers.models import Home, Household, Photo, Plant
from customers.signals import (
    homes_imported,
    owner_added,
    owner_changed,
    plant_measured,
    rows_checked,
)
from jobs import papers, tray
from jobs.models import Booking, Job, Offer, Payment, Proof
from jobs.signals import (
    crew_set_out,
    job_handed_over,
    job_proved,
    offer_sent,
    paper_wanted,
    payment_recorded,
    visit_changed,
    visit_made,
)
from shared.models import User
from warranties import plants, tasks
from warranties.actions import bringing, noticing, promising, telling, transferring, watching
from warranties.certificate.record import readable_terms
from warranties.growth import OddReading
from warranties.models import Promise, Reading
from warranties.notices.inwriting import plan_offer_paper
from warranties.story import callbacks_of, promises_of, works_of
from warranties.tray import (
    waiting_addresses,
    waiting_callbacks,
    waiting_notices,
    waiting_texts,
)


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
    job_proved.connect(open_promise, dispatch_uid="open the promise")
    job_handed_over.connect(issue_certificate, dispatch_uid="issue the certificate")
    connect_telling()
    owner_changed.connect(follow_owner, dispatch_uid="follow the owner")
    owner_added.connect(ask_owner, dispatch_uid="ask the further owner")
    plant_measured.connect(read_plant, dispatch_uid="read the plant")
    register_words(numbers)
    rows_checked.connect(check_rows, dispatch_uid="check promise numbers")
    homes_imported.connect(bring_promises, dispatch_uid="bring promises")
    story.register(callbacks_of)
    story.register(promises_of)
    story.register(works_of)
    tray.register(waiting_callbacks)
    tray.register(waiting_notices)
    tray.register(waiting_texts)
    tray.register(waiting_addresses)
    papers.register_terms(readable_terms)
    outlooks.register_growing(plants.growing_at)
    outlooks.register_plant_kinds(plants.kinds)
    sheet.register(place="acts", template="warranties/_callback_act.html", facts=callable_promises)
    sheet.register(place="acts", template="warranties/_readings_act.html", facts=nothing_more)
    sheet.register(place="right", template="warranties/_promises_of.html", facts=all_promises)


def connect_telling() -> None:
    """Tell households of what jobs does."""
    offer_sent.connect(tell_of_offer, dispatch_uid="send the offer")
    payment_recorded.connect(tell_of_payment, dispatch_uid="send a receipt")
    job_handed_over.connect(tell_of_balance, dispatch_uid="say what is still to be paid")
    visit_changed.connect(tell_of_visit, dispatch_uid="tell the household of the visit")
    crew_set_out.connect(tell_on_the_way, dispatch_uid="say that the crew is on the way")
    paper_wanted.connect(post_offer, dispatch_uid="post the offer")
    visit_made.connect(tell_of_visit_made, dispatch_uid="report the visit")


def nothing_more(_home: Home) -> dict[str, Any]:
    return {}


def callable_promises(home: Home) -> dict[str, Any]:
    """The promises of a home that a household can still call upon."""
    return {"callable_promises": Promise.objects.standing().filter(home=home).order_by("pk")}


def all_promises(home: Home) -> dict[str, Any]:
    return {"promises": Promise.objects.filter(home=home).order_by("-pk")}


def numbers(homes: Collection[int]) -> Iterable[tuple[int, str]]:
    """The promise numbers by which homes are found."""
    return Promise.objects.filter(home__in=homes).values_list("home", "number")


def open_promise(*, job: Job, proof: Proof, at: datetime, **_: Any) -> None:
    promising.open_promise(job=job, proof=proof, at=at)


def issue_certificate(*, job: Job, at: datetime, **_: Any) -> None:
    """Write the certificate down with the handing over; print it once that is kept."""
    promise = promising.promise_of(job)
    if promise is None:
        return
    certificate = promising.issue_certificate(promise=promise, at=at)
    transaction.on_commit(lambda: tasks.print_soon(certificate.pk))


def tell_of_visit(*, booking: Booking, change: str, at: datetime, **_: Any) -> None:
    noticing.plan_visit_notice(booking=booking, change=change, at=at)


def post_offer(*, offer: Offer, at: datetime, **_: Any) -> None:
    plan_offer_paper(offer, at)


def tell_of_offer(*, offer: Offer, at: datetime, **_: Any) -> None:
    telling.tell_of_offer(offer=offer, at=at)


def tell_of_payment(*, payment: Payment, at: datetime, **_: Any) -> None:
    telling.tell_of_payment(payment=payment, at=at)


def tell_of_balance(*, job: Job, at: datetime, **_: Any) -> None:
    telling.tell_of_balance(job=job, at=at)


def tell_on_the_way(*, booking: Booking, at: datetime, **_: Any) -> None:
    telling.tell_on_the_way(booking=booking, at=at)


def tell_of_visit_made(*, booking: Booking, at: datetime, **_: Any) -> None:
    telling.tell_of_visit_made(booking=booking, at=at)


def follow_owner(*, home: Home, household: Household, on: date, at: datetime, **_: Any) -> None:
    transferring.follow_owner(home=home, household=household, on=on, at=at)


def ask_owner(*, home: Home, household: Household, at: datetime, **_: Any) -> None:
    transferring.join_transfers(home=home, household=household, at=at)


def check_rows(*, arrivals: Sequence[Arrival], **_: Any) -> None:
    bringing.check_numbers(arrivals=arrivals)


def bring_promises(*, arrivals: Sequence[Arrival], at: datetime, by: User | None, **_: Any) -> None:
    bringing.bring_promises(arrivals=arrivals, at=at, by=by)


def read_plant(  # noqa: PLR0913  # what the signal carries
    *,
    plant: Plant,
    on: date,
    clearance_mm: Decimal,
    cut: bool,
    confirmed: bool,
    photo: Photo | None,
    by: User | None,
    **_: Any,
) -> None:
    """Keep what was measured while the plan was edited, in place of what was measured that day."""
    found = {"trimmed_to_mm": clearance_mm} if cut else {"clearance_mm": clearance_mm}
    reading = Reading(plant=plant, on=on, way="tech", confirmed=confirmed, **found)
    try:
        watching.replace_reading(reading=reading, by=by, photo=photo)
    except OddReading as odd:
        raise AskFirst(str(odd)) from odd
