"""Every page of the site with something to show on it, taken from the tables as they are."""

from collections.abc import Iterator

from django.db.models import QuerySet
from django.test import Client
from django.urls import URLPattern
from django.utils.timezone import now

from customers.links import link_token, make_link
from customers.models import Home, Household, HouseholdLink, ImportRun, Plan
from jobs.models import Booking, Crew, FittedDetail, Job, Offer, Payment, PriceBook
from shared.kept import kept_names
from shared.models import User
from tests.test_access import OPEN, addresses, filled
from warranties.models import Callback, Certificate, Notice, Promise, Terms, Transfer, TransferVoice
from warranties.notices.failing import unreachable
from warranties.notices.leaving import leave_token

Values = tuple[object, ...]
NO_PAGES = {
    "check-plan": "a PDF",
    "certificate": "a PDF",
    "certificate-post": "a PDF",
    "certificate-schema": "for programs",
    "my-home-certificate": "a PDF",
    "offer-agreed-paper": "a PDF",
    "offer-pdf": "a PDF",
    "offer-agree-paper": "a PDF",
    "visit-calendar": "a calendar entry",
    "photo": "a photograph",
    "health": "one word for a machine",
    "my-home-paper": "takes only a POST",
    "my-home-mails": "takes only a POST",
    "my-home-photo": "takes only a POST",
    "plan-svg": "a drawing",
    "plan-dxf": "a drawing",
    "import-refused": "a table",
    "letter-batch": "a PDF",
    "outbox-mail-html": "a mail as it was sent",
}
OF_LIBRARIES = (
    ("", "/account/login/"),
    ("", "/account/password/reset/"),
    ("owner", "/account/password/change/"),
    ("owner", "/account/logout/"),
    ("owner", "/account/mfa/"),
    ("owner", "/account/reauthenticate/"),
)
NOTHING_TO_SHOW = (
    ("owner", "/homes/?find=nowhere+at+all"),
    ("owner", "/ledger/?crew=999999"),
    ("owner", "/diary/?week=2020-W10"),
    ("tech", "/round/?on=2020-03-02"),
    ("owner", "/callbacks/new/?find=nowhere+at+all"),
    ("", "/check/RK-000000-00/"),
    ("", "/my-home/not-a-link/"),
    ("owner", "/no/such/page/"),
)


def one_of_each(rows: QuerySet, column: str) -> QuerySet:
    """Return the newest row of each value of that column."""
    newest: dict[object, int] = dict(rows.order_by("pk").values_list(column, "pk"))
    return rows.filter(pk__in=newest.values())


def token_of(household: Household, purpose: str = "my home", about: str = "") -> str:
    make_link(household=household, purpose=purpose, about=about, at=now(), days=7)
    return link_token(household.links.latest("pk"))


def some_of_a_plan(home: Home) -> list[str]:
    """Return the names of a walk, a leg and a feature of the home's plan as fitted."""
    document = Plan.objects.get(home=home, stage="fitted").document
    walk = document["walks"][0]
    return [walk["id"], walk["legs"][0]["id"], document["features"][0]["id"]]


def samples() -> dict[str, list[Values]]:
    """What to put into the parts that vary, by the beginning of the address, longest first."""
    home, bare = Home.objects.earliest("pk"), Home.objects.latest("pk")  # with, without a plan
    jobs = list(one_of_each(Job.objects.all(), "stage").values_list("number"))
    promises = list(one_of_each(Promise.objects.all(), "state").values_list("number"))
    notices = list(Notice.objects.filter(plant__isnull=False).order_by("-pk")[:2])
    return {
        "people/": list(User.objects.values_list("username")[:2]),
        "lots/": [(FittedDetail.objects.exclude(lot="").earliest("pk").lot,)],
        "homes/": [(home.pk,), (bare.pk,)],
        "homes/<int:pk>/plan/<str:panel>/": [
            (home.pk, panel)
            for panel in (
                "new-leg",
                "new-feature",
                "new-walk",
                "settings",
                *some_of_a_plan(home),
            )
        ],
        "homes/<int:pk>/plans/<slug:stage>": [(home.pk, "fitted")],
        "imports/": list(ImportRun.objects.values_list("pk")),
        "outbox/addresses/": [(each.pk, "mail") for each in unreachable()],
        "outbox/mails/": [(name,) for name in kept_names(1)],
        "jobs/": jobs,
        "payments/": list(one_of_each(Payment.objects.all(), "kind").values_list("pk")),
        "offers/": list(one_of_each(Offer.objects.all(), "state").values_list("number")),
        "agree/": [
            (token_of(offer.job.household, "offer", offer.job.number),)
            for offer in one_of_each(Offer.objects.filter(state__in=("sent", "agreed")), "state")
        ],
        "visits/": list(one_of_each(Booking.objects.all(), "purpose").values_list("pk")),
        "prices/": list(PriceBook.objects.values_list("pk")),
        "crews/": list(Crew.objects.values_list("pk")[:1]),
        "check/": promises,
        "terms/<str:paper>/<str:language>/new/": list(
            Terms.objects.values_list("paper", "language")[:1]
        ),
        "terms/": list(Terms.objects.values_list("paper", "language", "version")[:4]),
        "words/": [("trim-back", "en"), ("visit-moved", "es")],
        "promises/": promises,
        "promises/<str:number>/certificate-<int:edition>/read/": list(
            Certificate.objects.current().values_list("promise__number", "edition")[:1]
        ),
        "callbacks/new/": promises[:1],
        "callbacks/": list(one_of_each(Callback.objects.all(), "decision").values_list("number")),
        "my-home/<str:token>/notices/": [
            (token_of(each.household), each.pk, said)
            for each in notices
            for said in ("done", "help")
        ],
        "my-home/<str:token>/homes/": [
            (token_of(each.holder), each.home_id) for each in Promise.objects.in_force()[:1]
        ],
        "my-home/<str:token>/sold/": [
            (token_of(each.holder), each.number) for each in Promise.objects.in_force()[:1]
        ],
        "my-home/": [
            (token_of(household),)
            for language in ("en", "es")
            for household in Household.objects.filter(language=language)[:2]
        ],
        "unsubscribe/": [(leave_token(each),) for each in notices[:1]],
        "transfer/": [
            (link_token(link),)
            for link in HouseholdLink.objects.filter(
                pk__in=TransferVoice.objects.filter(transfer__in=Transfer.objects.open()).values(
                    "link"
                )
            )
        ],
    }


def takes_only_a_post(owner: Client, route: str, pattern: URLPattern) -> bool:
    return owner.get(filled(route, pattern)).status_code == 405


def fill(route: str, names: list[str], values: Values) -> str:
    assert len(names) == len(values), f"samples() needs a line for {route}"
    for name, value in zip(names, values, strict=True):
        for kind in ("str:", "int:", "slug:", "path:", ""):
            route = route.replace(f"<{kind}{name}>", str(value))
    return f"/{route}"


def pages(owner: Client) -> Iterator[tuple[str, str]]:
    """Each page as (role, address): as the owner, who may see all, or as nobody behind a link."""
    known = samples()
    for route, pattern in addresses():
        if pattern.name in NO_PAGES or takes_only_a_post(owner, route, pattern):
            continue
        names = list(pattern.pattern.converters)
        begins = sorted((each for each in known if route.startswith(each)), key=len)
        rows = known[begins[-1]] if names else [()]
        assert rows, f"the demo has nothing to show at {route}"
        for values in rows:
            yield ("" if pattern.name in OPEN else "owner", fill(route, names, values))
    yield from OF_LIBRARIES
    yield from NOTHING_TO_SHOW
