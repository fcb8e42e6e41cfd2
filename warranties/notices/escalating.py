"""Notices that did not reach their household go on to its next channel: once, held by the database.

One that came back goes on at once, whatever it is about. One that asks for something goes on when
nobody opened its link or answered within NOTICE_UNSEEN_DAYS; a letter has a week more. We never
look whether a mail was opened. After the last channel that may be used the office sees it.
"""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import CharField, Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Cast, Concat

from customers.models import Ownership
from warranties.models import Check, Notice, Watch
from warranties.models.notice import POSTED
from warranties.notices.hours import next_hour
from warranties.notices.inserting import insert_notices

NOT_YET_THEIRS = ("transfer", "offer", "receipt", "balance", "agreement", "offer-paper")
INSISTED_ON = ("trim-back", "seal-check")
POST_TAKES = timedelta(days=7)
PAST = timedelta(days=45)  # What nobody saw for longer is not begun with again.
SETTLES = timedelta(hours=1)


def plan_escalations(now: datetime) -> int:
    """Plan what goes on to the next channel. A query, and one a time zone."""
    zones = unheard(now).order_by().values_list("home__zone", flat=True).distinct()
    return sum(_plan_zone(now, name) for name in list(zones))


def unreached(now: datetime) -> QuerySet[Notice]:
    """What went over every channel that may be used and reached nobody, oldest first."""
    return unheard(now - SETTLES).select_related("household", "home").order_by("sent_at", "pk")


def unheard(now: datetime) -> QuerySet[Notice]:
    """What came back or was not seen in time, is still true, and has not gone on yet."""
    missed = Notice.objects.told().filter(_missed(now), next=None, answer="")
    over = Concat("tried", Value(" "), "channel")
    return _still_true(missed, now).annotate(over=over)


def _missed(now: datetime) -> Q:
    """Whether a notice came back, or was sent long enough ago and not seen."""
    patience = timedelta(days=settings.NOTICE_UNSEEN_DAYS)
    posted = Q(channel__in=POSTED, sent_at__lte=now - patience)
    by_letter = Q(channel="letter", sent_at__lte=now - patience - POST_TAKES)
    unseen = Q(posted | by_letter, seen_at=None, kind__in=INSISTED_ON)
    return Q(unseen | Q(bounced_at__lte=now), sent_at__gt=now - PAST)


def _still_true(missed: QuerySet[Notice], now: datetime) -> QuerySet[Notice]:
    """The plant was not cut since, the check is not booked, and no later notice is about it."""
    later = Notice.objects.filter(after=None, pk__gt=OuterRef("pk"))
    plant = later.filter(plant=OuterRef("plant"), kind="trim-back")
    visit = later.filter(booking=OuterRef("booking"))
    held = Ownership.objects.filter(
        home=OuterRef("home"), household=OuterRef("household"), until=None
    )
    return missed.filter(
        ~Q(kind="trim-back") | (Exists(_growing_on()) & ~Exists(plant)),
        ~Q(kind="seal-check") | Exists(_waiting_check()),
        Q(booking=None) | (Q(booking__starts_at__gt=now) & ~Exists(visit)),
        Q(kind__in=NOT_YET_THEIRS) | Exists(held),  # Who is to hold it soon does not hold it yet.
    )


def _growing_on() -> QuerySet[Watch]:
    """The notice's plant, as long as it grows from the cut that the notice was about."""
    cycle = Concat(Value(":"), Cast("cycle", CharField()), Value(":"), output_field=CharField())
    mine = Watch.objects.growing().filter(plant=OuterRef("plant"), opens_on__isnull=False)
    return mine.annotate(about=_occasion()).filter(about__contains=cycle)


def _waiting_check() -> QuerySet[Check]:
    key = Concat(Value("check:"), Cast("pk", CharField()), Value(">"), output_field=CharField())
    about = Concat(_occasion(), Value(">"), output_field=CharField())
    waiting = Check.objects.filter(booking=None, done_on=None, home=OuterRef("home"))
    return waiting.annotate(about=about).filter(about__startswith=key)


def _occasion() -> ExpressionWrapper:
    return ExpressionWrapper(OuterRef("occasion"), output_field=CharField())


def _plan_zone(now: datetime, name: str) -> int:
    send_at = next_hour(now, ZoneInfo(name))
    same = ("home_id", "plant_id", "booking_id", "kind", "lead", "due_on", "facts")
    values = {
        **{column: F(column) for column in same},
        "occasion": Concat(F("occasion"), Value(">")),
        "after_id": F("pk"),
        "tried": F("over"),
    }
    missed = unheard(now).filter(home__zone=name)
    return insert_notices(
        missed, values, household="household", send_at=send_at, now=now, tried="over"
    )
