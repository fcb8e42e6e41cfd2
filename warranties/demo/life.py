"""The demo's two years, home by home, through the actions that the pages call.

The last homes stop at every stage on the way; the others are handed over, watched, reminded,
checked and called back. Chance is seeded: the same day gives the same firm.
"""

import tomllib
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Group

from customers.actions import give_paperless, open_home
from customers.actions.consenting import Said
from customers.models import Home, Household, Plan, Plant
from jobs.actions import asking, booking, offering, showing
from jobs.actions.paying import record_payment
from jobs.models import Booking, Crew, Job, Payment, Price, PriceBook
from shared.models import User
from warranties.actions import terming
from warranties.demo.firm import Firm
from warranties.demo.fitting import fit_and_hand_over, lines_for
from warranties.demo.houses import a_house
from warranties.demo.keeping import keep
from warranties.demo.texts import mail_came_back, texts_came

HOMES = 60
SPAN_DAYS = 730
LATEST_DAYS = 20  # The last of the finished homes asked so long ago, and is fitted by now.
SEED = 20_240
TOLD_EVERY = 20
WITH_MAIL, WITH_LETTER, WITH_TEXT = 0.85, 0.6, 0.4  # shares of households
# The stages at which the newest homes stop, oldest first; all before them are handed over.
STAGES = (
    "declined",
    "handed-over",
    "cancelled",
    "proved",
    "fitted",
    "booked",
    "booked",
    "agreed",
    "priced",
    "priced",
    "measured",
    "asked",
    "asked",
)
SOURCES = ("neighbour", "neighbour", "web", "sign", "builder", "event", "other")


def play(
    *, now: datetime, homes: int = HOMES, tell: Callable[[str], None] = lambda _text: None
) -> None:
    """Fill an empty installation. Every row comes about as in real work, only sooner."""
    path = Path(settings.BASE_DIR) / "fixtures" / "demo.toml"
    firm = Firm(tomllib.loads(path.read_text("utf-8")), Random(SEED), now)  # noqa: S311
    _people(firm)
    _books(firm)
    terming.load_drafts(at=now - timedelta(days=SPAN_DAYS + 40))
    stages = ("handed-over",) * (homes - len(STAGES)) + STAGES
    for index, stage in enumerate(stages):
        _home(firm, index, stage, homes)
        if not (index + 1) % TOLD_EVERY:
            tell(f"{index + 1} homes")
    keep(firm)
    texts_came(firm)
    mail_came_back(firm)


def _people(firm: Firm) -> None:
    for each in firm.facts["people"]:
        role = each["role"]
        user = User(
            username=each["username"],
            first_name=each["first_name"],
            last_name=each["last_name"],
            email=f"{each['username']}@example.com",
            language=each.get("language", "en"),
        )
        user.set_unusable_password()
        user.save()
        user.groups.add(Group.objects.get(name=role))
        firm.people[user.username] = user
    for each in firm.facts["crews"]:
        crew = Crew.objects.create(name=each["name"], hourly_cost=Decimal(each["hourly_cost"]))
        crew.members.set(firm.people[name] for name in each["members"])
        firm.crews.append(crew)


def _books(firm: Firm) -> None:
    for each in firm.facts["books"]:
        from_day = firm.today() - timedelta(days=365 * each["years_ago"] + 30)
        book = PriceBook.objects.create(
            name=each["name"],
            valid_from=from_day,
            minimum=Decimal(each["minimum"]),
            tax_rate=Decimal(each["tax_rate"]),
        )
        higher = Decimal(each["raise"])
        for code, (text, text_es, unit, price, cost) in firm.facts["prices"].items():
            Price.objects.create(
                book=book,
                code=code,
                text=text,
                text_es=text_es,
                unit=unit,
                price=(Decimal(price) * higher).quantize(Decimal("0.01")),
                cost=(Decimal(cost) * higher).quantize(Decimal("0.01")),
            )


def _home(firm: Firm, index: int, stage: str, homes: int) -> None:
    """One household asks; the job goes on as far as its stage."""
    asked_on = _asked_on(firm, index, stage, homes - len(STAGES))
    home = _enter(firm, index, asked_on)
    job = asking.ask(
        home=home,
        household=_holder(home),
        kind="fitting",
        source=firm.chance.choice(SOURCES),
        on=asked_on,
        wish=firm.chance.choice(firm.facts["wishes"]),
    )
    if stage == "asked":
        return
    plan = _survey(firm, home, job, asked_on + timedelta(days=2))
    if stage == "measured":
        return
    offered_on = asked_on + timedelta(days=4)
    offer = offering.make_offer(job=job, lines=lines_for(plan), on=offered_on)
    offering.send(offer=offer, at=firm.at(offered_on, 15))
    if stage == "priced":
        return
    if stage == "declined":
        asking.decline(job=job, reason="Will wait until spring.", at=firm.at(offered_on, 17))
        return
    agreed_on = offered_on + timedelta(days=3)
    _agree(firm, job, offer, agreed_on)
    if stage == "agreed":
        return
    if stage == "cancelled":
        asking.cancel(job=job, reason="Selling the house.", at=firm.at(agreed_on, 17))
        return
    visit = _book_fitting(firm, job, agreed_on, after=stage == "booked")
    if stage != "booked":
        fit_and_hand_over(firm, job, visit, stage)


def _asked_on(firm: Firm, index: int, stage: str, old: int) -> date:
    """Homes come evenly over the two years, the unfinished ones lately."""
    if index < old:
        return firm.today() - timedelta(days=SPAN_DAYS - index * (SPAN_DAYS - LATEST_DAYS) // old)
    recent = {"asked": 1, "measured": 4, "priced": 8, "agreed": 9, "booked": 12}
    return firm.today() - timedelta(days=recent.get(stage, 45) + firm.chance.randint(0, 2))


def _enter(firm: Firm, index: int, on: date) -> Home:
    facts, chance = firm.facts, firm.chance
    family = facts["families"][index]
    street = facts["streets"][index % len(facts["streets"])]
    ascii_name = family.encode("ascii", "ignore").decode().split()[0].lower()
    mail = chance.random() < WITH_MAIL
    household = Household(
        name=family,
        phone=f"+1602555{100 + index:04d}",
        mail=f"{ascii_name}{index}@example.com" if mail else "",
        language="es" if family in facts["spanish"] else "en",
    )
    home = Home(
        street=f"{10 + index * 7 % 180} {street}",
        city="Mesquite Flat",
        region="AZ",
        postal_code=f"850{index % 4}0",
        neighbourhood=facts["neighbourhoods"][index % len(facts["neighbourhoods"])],
        site_note=chance.choice(facts["site_notes"]),
    )
    said = Said(
        {
            "mail": mail,
            "letter": chance.random() < WITH_LETTER,
            "text": chance.random() < WITH_TEXT,
        },
        "told us by phone",
    )
    entered_at = firm.at(on, 10)
    open_home(household=household, home=home, said=said, at=entered_at)
    Home.objects.filter(pk=home.pk).update(created_at=entered_at)
    return home


def _holder(home: Home) -> Household:
    return Household.objects.get(ownerships__home=home, ownerships__until=None)


def _survey(firm: Firm, home: Home, job: Job, on: date) -> Plan:
    document = a_house(firm.chance, firm.facts["plants"])
    plan = Plan.objects.create(
        home=home,
        stage="surveyed",
        revision=1,
        document=document.to_json(),
        changed_by=firm.people["office"],
    )
    for each in document.features:
        if each.id.startswith("plant"):
            Plant.objects.create(
                home=home,
                mark=each.id,
                name=each.name,
                kind=each.name,
                place=f"at {each.leg.replace('-', ' ')}",
            )
    asking.measure(job=job, on=on)
    return plan


def _agree(firm: Firm, job: Job, offer: Any, on: date) -> None:
    how = firm.chance.choice(("home", "home", "online", "paper", "office"))
    shown = showing.show(offer=offer, at=firm.at(on, 11, 10))
    agreement = offering.Agreement(
        code=shown.code,
        by=str(job.household),
        how=how,
        at=firm.at(on, 11, 30),
        warranty_shown_at=firm.at(on, 11, 10),
        told_orally_at=firm.at(on, 11, 20),
    )
    offering.agree(offer=offer, agreement=agreement)
    if how == "online":
        give_paperless(
            household=job.household,
            language=offer.language,
            by=agreement.by,
            shown_how=f"Typed the code that stands in the PDF of offer {offer.number}.",
            at=agreement.at,
        )
    job.refresh_from_db()
    offer.refresh_from_db()
    payment = Payment(kind="deposit", way="card", amount=offer.deposit, received_on=on)
    record_payment(job=job, payment=payment, at=firm.at(on, 12))


def _book_fitting(firm: Firm, job: Job, agreed_on: date, *, after: bool) -> Booking:
    """The first free morning a week and more after the agreement; after today where it says so."""
    day = agreed_on + timedelta(days=9)
    if after:
        day = max(day, firm.today() + timedelta(days=1))
    for extra in range(40):
        on = day + timedelta(days=extra)
        if on.weekday() > 4:  # noqa: PLR2004  # Saturday and Sunday
            continue
        for crew in firm.crews:
            try:
                return booking.book(
                    crew=crew,
                    home=job.home,
                    purpose="fitting",
                    starts_at=firm.at(on, 8),
                    ends_at=firm.at(on, 15),
                    job=job,
                    at=firm.at(agreed_on, 12),
                )
            except booking.CrewIsTaken:
                continue
    raise RuntimeError("The demo's diary is full.")
