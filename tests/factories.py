"""One valid world, made by plain functions; a test overrides by name only what it is about."""

import io
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from django.contrib.auth.models import Group
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from customers.models import Consent, Home, Household, Ownership, Paperless, Photo, Plan, Plant
from customers.plan.document import PlanDocument
from jobs.models import (
    Booking,
    Crew,
    FittedDetail,
    Job,
    MonthSum,
    Offer,
    OfferLine,
    Price,
    PriceBook,
)
from shared.models import User
from shared.photos import CleanPhoto, read_photo
from warranties.actions import watching
from warranties.models import Callback, Check, CheckPlan, Notice, Promise, Reading, Terms, Watch

TODAY = date(2026, 3, 2)
NOON = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)  # noon in Phoenix
_serial = count(1)


def make_user(*, role: str = "office", **fields: Any) -> User:
    """Somebody of that role; the same person for the same role unless named."""
    username = fields.pop("username", role)
    user, created = User.objects.get_or_create(
        username=username, defaults={"email": f"{username}@example.com", **fields}
    )
    if created:
        user.set_password("a ring without a gap")
        user.save()
        user.groups.add(Group.objects.get(name=role))
    return user


def make_household(**fields: Any) -> Household:
    serial = next(_serial)
    defaults = {
        "name": f"Household {serial}",
        "phone": "+16025550123",
        "mail": f"household{serial}@example.com",
    }
    household = Household.objects.create(**{**defaults, **fields})
    Consent.objects.create(
        household=household, channel="mail", given=True, at=NOON, how="told us by phone"
    )
    return household


def make_home(*, household: Household | None = None, **fields: Any) -> Home:
    """A home that a household owns since 2020."""
    serial = next(_serial)
    street = fields.pop("street", f"{serial} Juniper Bend")
    home = Home(
        street=street,
        city=fields.pop("city", "Mesquite Flat"),
        region="AZ",
        postal_code="85000",
        **fields,
    )
    home.fold_address()
    home.save()
    Ownership.objects.create(
        home=home, household=household or make_household(), since=date(2020, 1, 1)
    )
    return home


def make_crew(**fields: Any) -> Crew:
    return Crew.objects.create(**{"name": f"Crew {next(_serial)}", "hourly_cost": 38, **fields})


def make_job(*, home: Home | None = None, **fields: Any) -> Job:
    home = home or make_home()
    household = fields.pop("household", None) or home.household()
    assert household is not None
    defaults = {"number": f"2026-{next(_serial):04d}", "asked_on": TODAY}
    job = Job.objects.create(home=home, household=household, **{**defaults, **fields})
    MonthSum.objects.move({}, Job.objects.filter(pk=job.pk).month_sums())
    return job


PRICES = (
    ("strip-glass", "ft", "24.00", "7.50"),
    ("strip-aluminium", "ft", "17.00", "4.75"),
    ("collar", "each", "45.00", "9.00"),
    ("column-head-band", "each", "95.00", "22.00"),
    ("over-wall-return", "each", "140.00", "35.00"),
    ("sill-riser", "each", "210.00", "60.00"),
    ("fence-split", "each", "85.00", "18.00"),
    ("visit", "each", "90.00", "45.00"),
)


def make_price_book(*, valid_from: date = date(2026, 1, 1), **fields: Any) -> PriceBook:
    book, created = PriceBook.objects.get_or_create(
        valid_from=valid_from, defaults={"name": f"Prices {valid_from}", "minimum": 600, **fields}
    )
    if created:
        Price.objects.bulk_create(
            Price(book=book, code=code, text=code, unit=unit, price=price, cost=cost)
            for code, unit, price, cost in PRICES
        )
    return book


def make_offer(*, job: Job | None = None, **fields: Any) -> Offer:
    """An offer of 160 ft of glass strip and two collars: 3,930.00."""
    offer = Offer.objects.create(
        job=job or make_job(),
        book=make_price_book(),
        **{
            "number": f"2026-{next(_serial):04d}-A",
            "made_on": TODAY,
            "valid_until": TODAY + timedelta(days=30),
            **fields,
        },
    )
    lines = (("strip-glass", 160, "ft", 24), ("collar", 2, "each", 45))
    for position, (code, quantity, unit, price) in enumerate(lines, start=1):
        OfferLine.objects.create(
            offer=offer,
            position=position,
            code=code,
            text=code,
            quantity=quantity,
            unit=unit,
            unit_price=price,
            amount=Decimal(quantity * price),
        )
    return offer


def make_paperless(*, household: Household, **fields: Any) -> Paperless:
    """It takes papers that the law wants in writing as files."""
    defaults = {
        "language": household.language,
        "statement": "You may have paper instead.",
        "given_at": NOON - timedelta(days=90),
        "given_by": household.name,
        "shown_how": "Typed the code in the PDF.",
    }
    return household.paperless.create(**{**defaults, **fields})


def make_terms(**fields: Any) -> Terms:
    defaults = {
        "version": next(_serial),
        "title": "Limited warranty",
        "body": "We repair.",
        "basis": "home",
        "made_at": NOON - timedelta(days=60),
    }
    return Terms.objects.create(**{**defaults, **fields})


def make_promise(*, job: Job | None = None, **fields: Any) -> Promise:
    job = job or make_job(stage="handed-over", fitted_on=TODAY, handed_over_on=TODAY)
    defaults = {"number": f"RK-{next(_serial):06d}-00", "basis": "home", "starts_on": TODAY}
    return Promise.objects.create(
        home=job.home,
        holder=job.household,
        job=job,
        terms=fields.pop("terms", None) or make_terms(),
        **{**defaults, **fields},
    )


def make_booking(*, crew: Crew | None = None, home: Home | None = None, **fields: Any) -> Booking:
    """A standing visit without its quarters; book through jobs.actions where they matter."""
    defaults = {
        "purpose": "fitting",
        "starts_at": NOON,
        "ends_at": NOON + timedelta(hours=2),
        "uid": f"visit-{next(_serial)}@example.com",
    }
    return Booking.objects.create(
        crew=crew or make_crew(), home=home or make_home(), **{**defaults, **fields}
    )


def make_photo_file(
    *, size: tuple[int, int] = (40, 30), colour: str = "red", name: str = "IMG_0001.jpg"
) -> SimpleUploadedFile:
    """A photograph as a browser sends it; another colour is another photograph."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def make_clean_photo(colour: str = "red") -> CleanPhoto:
    return read_photo(make_photo_file(colour=colour))


def make_fitted_detail(*, job: Job, photographs: int = 1, **fields: Any) -> FittedDetail:
    """A collar at its own place with a photograph, marked without the checks of the action."""
    serial = next(_serial)
    defaults = {"mark": f"pipe-{serial}", "code": "collar", "place": f"Pipe {serial}"}
    detail = FittedDetail.objects.create(job=job, fitted_at=NOON, **{**defaults, **fields})
    detail.photos.set(make_photo(home=job.home) for _ in range(photographs))
    return detail


def make_photo(*, home: Home | None = None, **fields: Any) -> Photo:
    """A photograph's row without its file; add one through the action where bytes matter."""
    serial = next(_serial)
    defaults = {"image": f"photos/{serial}.jpg", "width": 40, "height": 30, "sha256": f"{serial}"}
    return Photo.objects.create(home=home or make_home(), **{**defaults, **fields})


def make_plan(*, home: Home, document: PlanDocument, stage: str = "surveyed") -> Plan:
    return Plan.objects.create(home=home, stage=stage, document=document.to_json(), revision=1)


def make_callback(*, promise: Promise | None = None, **fields: Any) -> Callback:
    defaults = {
        "number": f"CB-2026-{next(_serial):04d}",
        "reported_at": NOON,
        "report": "One on the kitchen wall.",
    }
    return Callback.objects.create(promise=promise or make_promise(), **{**defaults, **fields})


def make_plant(*, home: Home | None = None, **fields: Any) -> Plant:
    """A lantana by the gate, to be kept 12 inches off the wall."""
    serial = next(_serial)
    defaults = {"mark": f"plant-{serial}", "name": "lantana", "kind": "lantana"}
    return Plant.objects.create(
        home=home or make_home(), **{**defaults, "place": "at leg 4, by the gate", **fields}
    )


def make_watch(*, plant: Plant | None = None, promised: bool = True, **fields: Any) -> Watch:
    """A plant read as trimmed on TODAY, at a home with a promise; override its days by name."""
    plant = plant or make_plant()
    if promised and not Promise.objects.filter(home=plant.home).exists():
        make_promise(job=make_job(home=plant.home, stage="handed-over"))
    reading = Reading(plant=plant, on=TODAY, trimmed_to_mm=Decimal(305))
    watch = watching.keep_reading(reading=reading, today=TODAY)
    for name, value in fields.items():
        setattr(watch, name, value)
    watch.save()
    return watch


def make_check(*, home: Home | None = None, due_on: date, **fields: Any) -> Check:
    """A check of a plan that runs at the home."""
    home = home or make_home()
    holder = home.household()
    assert holder is not None
    plan = CheckPlan.objects.create(
        number=f"CP-{Check.objects.count()}",
        home=home,
        holder=holder,
        terms=make_terms(paper="checks", basis=""),
        starts_on=TODAY - timedelta(days=400),
        ends_on=TODAY + timedelta(days=400),
    )
    return Check.objects.create(home=home, plan=plan, kind="both", due_on=due_on, **fields)


def make_notice(*, watch: Watch | None = None, **fields: Any) -> Notice:
    """A first trim-back notice by mail, due to be sent at NOON."""
    watch = watch or make_watch(opens_on=TODAY + timedelta(days=30))
    household = watch.plant.home.household()
    assert household is not None
    defaults = {
        "household": household,
        "home": watch.plant.home,
        "plant": watch.plant,
        "kind": "trim-back",
        "occasion": f"trim-back:plant-{watch.plant_id}:{watch.cycle}:1",
        "lead": 1,
        "channel": "mail",
        "due_on": watch.opens_on,
        "send_at": NOON,
    }
    return Notice.objects.create(**{**defaults, **fields})
