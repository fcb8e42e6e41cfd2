"""Which notices are due to be planned: one INSERT ... SELECT a zone and reminder.

An occasion is told once, held by the database: a plan made twice, or by two at once, changes
nothing. What an outage delayed is not made up for: only the last reminder that is due is planned,
and what waits for one home goes out as one.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connection, transaction
from django.db.models import (
    Case,
    CharField,
    Count,
    DateTimeField,
    Exists,
    F,
    JSONField,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Cast, Concat

from customers.models import Consent, Household
from warranties import quiet, trimming
from warranties.models import Certificate, Notice, Watch

REST = timedelta(days=6)  # So long a home hears nothing more of the same plant.
FRESH = timedelta(days=14)  # Certificates that are older were brought in, not issued.
CHANNELS = 4  # A household's order names each of them once.
WAITING = ("planned", "claimed", "held")


def plan_notices(now: datetime) -> int:
    """Plan what is due and return how many notices were added. Twice plans nothing twice."""
    planned = sum(_plan_zone(now, zone) for zone in _zones(now))
    join_waiting()
    return planned + _plan_certificates(now)


def _zones(now: datetime) -> list[str]:
    furthest = now.date() + timedelta(days=max(settings.NOTICE_LEADS) + 8)
    watches = Watch.objects.growing().open_by(furthest).order_by()
    return list(watches.values_list("plant__home__zone", flat=True).distinct())


def _plan_zone(now: datetime, name: str) -> int:
    """Plan the trim-backs of the homes in one time zone: the last reminder that is due."""
    zone = ZoneInfo(name)
    horizons = trimming.horizons(now.astimezone(zone).date(), settings.NOTICE_LEADS)
    send_at = quiet.next_allowed(now, [zone], sundays=settings.NOTICE_SUNDAYS)
    bounds = [*horizons[1:], None]
    return sum(
        _insert(_trim_backs(name, span, lead).filter(~_told_lately(now)), lead, send_at, now)
        for lead, span in enumerate(zip(bounds, horizons, strict=True), start=1)
    )


def _trim_backs(zone: str, span: tuple[date | None, date], lead: int) -> QuerySet[Watch]:
    """The plants whose reminder of that number is due: they open after `span[0]`, by `span[1]`."""
    after, by = span
    due = Watch.objects.growing().promised().open_by(by).filter(plant__home__zone=zone)
    if after:
        due = due.filter(opens_on__gt=after)
    occasion = Concat(
        Value("trim-back:plant-"),
        Cast("plant_id", CharField()),
        Value(":"),
        Cast("cycle", CharField()),
        Value(f":{lead}"),
        output_field=CharField(),
    )
    told = Notice.objects.filter(occasion=OuterRef("occasion"))
    return due.with_household().annotate(occasion=occasion).filter(~Exists(told))


def _told_lately(now: datetime) -> Exists:
    """The plant has a notice that waits, was just sent, or was answered by a call for help."""
    mine = Notice.objects.filter(plant=OuterRef("plant"), kind="trim-back")
    return Exists(
        mine.filter(
            Q(state__in=WAITING)
            | Q(sent_at__gt=now - REST)
            | Q(joined_to__sent_at__gt=now - REST)
            | Q(joined_to__state__in=WAITING)
            | Q(answer="help", answer_handled_at=None)
        )
    )


def channel_of(household: str) -> Case:
    """The first channel of a household's order that may be used, as a database expression.

    Mail and texts need an address and a yes; letters and calls only the lack of a no. None where
    nothing may be used. `household` is the name of the column that holds its key.
    """
    order = Household.objects.filter(pk=OuterRef(household))
    asked = Consent.objects.filter(household=OuterRef(household))
    may: dict[str, Any] = {
        "mail": Exists(order.exclude(mail="")) & Exists(asked.filter(channel="mail", given=True)),
        "letter": ~Exists(asked.filter(channel="letter", given=False)),
        "call": Exists(order.exclude(phone=""))
        & ~Exists(asked.filter(channel="call", given=False)),
    }
    return Case(
        *(
            When(
                Exists(order.filter(**{f"channel_order__{place}": channel})) & allowed,
                then=Value(channel),
            )
            for place in range(CHANNELS)
            for channel, allowed in may.items()
        ),
        default=None,
        output_field=CharField(null=True),
    )


def _insert(due: QuerySet[Watch], lead: int, send_at: datetime, now: datetime) -> int:
    """Add a notice for every row of the query, in the database alone; return how many."""
    language = Household.objects.filter(pk=OuterRef("household_id")).values("language")
    values = {
        "household_id": F("household_id"),
        "home_id": F("plant__home_id"),
        "plant_id": F("plant_id"),
        "due_on": F("opens_on"),
        "occasion": F("occasion"),
        "channel": F("channel"),
        "language": Subquery(language[:1]),
        "kind": Value("trim-back"),
        "lead": Value(lead),
        "facts": Value({}, JSONField()),
        "send_at": Value(send_at, DateTimeField()),
        "planned_at": Value(now, DateTimeField()),
        "state": Value("planned"),
        "attempts": Value(0),
        **{name: Value("") for name in ("state_reason", "batch", "answer")},
    }
    rows = (
        due.annotate(channel=channel_of("household_id"))
        .filter(channel__isnull=False)
        .order_by()
        .annotate(**{f"to_{name}": value for name, value in values.items()})
        .values_list(*(f"to_{name}" for name in values))
    )
    select, parameters = rows.query.sql_with_params()
    columns = ", ".join(connection.ops.quote_name(name) for name in values)
    table = connection.ops.quote_name(Notice._meta.db_table)  # noqa: SLF001  # documented
    insert = f"INSERT INTO {table} ({columns}) {select} ON CONFLICT DO NOTHING"
    with connection.cursor() as cursor:
        cursor.execute(insert, parameters)
        return int(cursor.rowcount)


def _plan_certificates(now: datetime) -> int:
    """Tell holders of a certificate that was printed lately and stands."""
    occasion = Concat(Value("certificate:"), Cast("pk", CharField()), output_field=CharField())
    fresh = (
        Certificate.objects.current()
        .exclude(sha256="")
        .filter(issued_at__gt=now - FRESH, promise__state="in-force")
        .annotate(occasion=occasion, channel=channel_of("promise__holder"))
        .filter(~Exists(Notice.objects.filter(occasion=OuterRef("occasion"))))
        .filter(channel__isnull=False)
        .select_related("promise__holder", "promise__home")
    )
    new = [_certificate_notice(certificate, now) for certificate in fresh]
    before = Notice.objects.filter(kind="certificate").count() if new else 0
    Notice.objects.bulk_create(new, ignore_conflicts=True)
    return Notice.objects.filter(kind="certificate").count() - before if new else 0


def _certificate_notice(certificate: Any, now: datetime) -> Notice:
    promise = certificate.promise
    return Notice(
        household=promise.holder,
        home=promise.home,
        kind="certificate",
        occasion=certificate.occasion,
        channel=certificate.channel,
        language=promise.holder.language,
        facts={"certificate": certificate.pk},
        send_at=quiet.next_allowed(now, [promise.home.tz], sundays=settings.NOTICE_SUNDAYS),
    )


def join_waiting() -> int:
    """Let what waits for the same home, kind and channel go out as one; return how many joined.

    The notice that carries the others is locked while they join, so that no worker writes it in
    between.
    """
    waiting = Notice.objects.filter(state="planned", kind="trim-back")
    groups = (
        waiting.order_by()
        .values("household_id", "home_id", "channel")
        .annotate(count=Count("pk"), first=Min("pk"))
        .filter(count__gt=1)
    )
    firsts = list(groups.values_list("first", flat=True))
    return sum(_join(firsts[start : start + 500]) for start in range(0, len(firsts), 500))


@transaction.atomic
def _join(firsts: Sequence[int]) -> int:
    carriers = Notice.objects.select_for_update().filter(pk__in=firsts, state="planned")
    joined = 0
    for carrier in carriers.order_by("pk"):
        joined += (
            Notice.objects.filter(
                state="planned",
                kind=carrier.kind,
                home_id=carrier.home_id,
                household_id=carrier.household_id,
                channel=carrier.channel,
            )
            .exclude(pk=carrier.pk)
            .update(state="joined", joined_to=carrier)
        )
    return joined
