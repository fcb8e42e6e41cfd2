"""What jobs adds to the tray and the pages about a home, and does when a table brings homes."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from typing import Any

from django.db.models import Subquery

from customers import outlooks, sheet, signals, story
from customers.finding import register_words
from customers.importing import Arrival
from customers.models import Home
from customers.plan.document import PlanDocument
from customers.plan.features import DETAILS
from jobs import tray
from jobs.actions import asking, bringing, fitting
from jobs.asfitted import DETAIL_OF
from jobs.models import Job, Price, PriceBook, Proof
from jobs.pricing import plan_prices
from jobs.story import jobs_of, proofs_of
from shared.models import User


def connect() -> None:
    """Connect the receivers. Called once when Django is ready."""
    tray.register(tray.waiting_jobs)
    tray.register(tray.waiting_money)
    story.register(jobs_of)
    story.register(proofs_of)
    register_words(numbers)
    signals.homes_imported.connect(bring_jobs, dispatch_uid="bring jobs")
    signals.survey_closed.connect(measure_jobs, dispatch_uid="measure the jobs")
    signals.walls_turned.connect(turn_details, dispatch_uid="turn the details")
    outlooks.register_prices(prices_in_force)
    sheet.register(place="state", template="jobs/_state_of_home.html", facts=newest_proof)
    sheet.register(place="acts", template="jobs/_acts_of_home.html", facts=open_jobs)


def numbers(homes: Collection[int]) -> Iterable[tuple[int, str]]:
    """The job numbers by which homes are found."""
    return Job.objects.filter(home__in=homes).values_list("home", "number")


def newest_proof(home: Home) -> dict[str, Any]:
    proofs = Proof.objects.filter(job__home=home).select_related("job").order_by("-proved_at")
    return {"proof": proofs.first()}


def open_jobs(home: Home) -> dict[str, Any]:
    return {"open_jobs": Job.objects.open().filter(home=home).order_by("pk")}


def bring_jobs(*, arrivals: Sequence[Arrival], by: User | None, **_: Any) -> None:
    bringing.bring_jobs(arrivals=arrivals, by=by)


def prices_in_force(on: date) -> outlooks.Prices:
    """What details cost by the book of that day. A cut back that it does not sell costs nothing,
    as the household cuts for itself. One query."""
    book = PriceBook.objects.begun(on).values("pk")[:1]
    sold = Price.objects.filter(book=Subquery(book)).values_list("code", "unit", "price")
    by_metre = {code for code, detail in DETAILS.items() if detail.per == "metre"}
    amounts, by_piece = plan_prices(sold, DETAIL_OF, by_metre)
    return outlooks.Prices({**outlooks.COSTS_NOTHING, **amounts}, by_piece)


def turn_details(*, home: Home, document: PlanDocument, **_: Any) -> None:
    """What was fitted faces as its wall does, also where north was taken only later."""
    fitting.follow_walls(home=home, document=document)


def measure_jobs(*, home: Home, on: date, **_: Any) -> None:
    """A closed survey is what the jobs that were asked for at the home waited for."""
    for job in Job.objects.filter(home=home, stage="asked", asked_on__lte=on).order_by("pk"):
        asking.measure(job=job, on=on)
