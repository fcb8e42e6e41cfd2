"""What one household is told of one occasion, over one channel, once: alone or in another."""

from datetime import datetime, timedelta
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from customers.models import Home, Household, Plant
from customers.models.household import channels
from jobs.models import Booking
from shared.models import languages
from warranties.joining import BY_URGENCY

CLAIM_LASTS = timedelta(minutes=10)
POSTED = ("mail", "text")  # What a worker sends; letters and calls wait for a person.


def notice_kinds() -> list[tuple[str, str]]:
    return [
        ("trim-back", _("trim-back")),
        ("seal-check", _("seal check due")),
        ("recall", _("lot called back")),
        ("visit-booked", _("visit booked")),
        ("visit-cancelled", _("visit cancelled")),
        ("visit-tomorrow", _("visit tomorrow")),
        ("visit-on-the-way", _("crew on the way")),
        ("visit-report", _("visit made")),
        ("offer", _("offer")),
        ("receipt", _("payment received")),
        ("balance", _("still to be paid")),
        ("season", _("growing season begins")),
        ("certificate", _("certificate")),
        ("agreement", _("agreement")),
        ("offer-paper", _("offer on paper")),
        ("transfer", _("promise goes with the home")),
        ("promise-rests", _("promise rests")),
        ("promise-again", _("promise in force again")),
        ("promise-ended", _("promise ended")),
    ]


def notice_states() -> list[tuple[str, str]]:
    return [
        ("planned", "planned"),
        ("claimed", "being sent"),
        ("sent", "sent"),
        ("joined", "told in another"),
        ("held", "held for a person"),
        ("dropped", "dropped"),
    ]


def answers() -> list[tuple[str, str]]:
    return [("done", _("done")), ("help", _("help me"))]


def nothing() -> dict[str, Any]:
    return {}


class NoticeQuerySet(models.QuerySet["Notice"]):
    def due(self, at: datetime) -> Self:
        """What a worker should send now, unless a worker was asked for it lately."""
        return self.filter(state="planned", channel__in=POSTED, send_at__lte=at).filter(
            Q(handed_at=None) | Q(handed_at__lte=at - CLAIM_LASTS)
        )

    def for_a_person(self, at: datetime) -> Self:
        """Letters to print and calls to make."""
        return self.filter(state="planned", send_at__lte=at).exclude(channel__in=POSTED)

    def told(self) -> Self:
        """What went out, alone or in another: `sent_at` is when, `seen_at` when it was seen."""
        return self.filter(state__in=("sent", "joined"), sent_at__isnull=False)

    def joinable(self, at: datetime) -> Self:
        """What may go out with others now: its hour has come, or it waits for another try.

        What a person had sent again goes by itself: somebody may have it under its Message-ID.
        """
        come = Q(send_at__lte=at) | Q(attempts__gt=0)
        return self.filter(come, state="planned", kind__in=BY_URGENCY, released_at=None)

    def claim(self, *, pk: int, at: datetime) -> "Notice | None":
        """Return the notice, held for this worker alone, or None if there is nothing to send."""
        mine = self.filter(pk=pk, state="planned", channel__in=POSTED, send_at__lte=at).update(
            state="claimed", claimed_at=at, handing_over_at=None
        )
        return self.get(pk=pk) if mine else None

    def abandoned(self, at: datetime) -> Self:
        """Claimed, and the claim has lapsed: whoever held it died or hangs."""
        return self.filter(state="claimed", claimed_at__lte=at - CLAIM_LASTS)

    def asking_for_help(self) -> Self:
        return self.filter(answer="help", answer_handled_at=None)

    def waiting_for_a_person(self) -> Self:
        return self.filter(Q(state="held") | Q(answer="help", answer_handled_at=None))


class Notice(models.Model):
    """`occasion` names what it is about, once: "trim-back:plant-17:55:1".

    Its state moves by conditional UPDATEs alone: planned, claimed by one worker, then sent,
    planned again or held. `handing_over_at` is kept just before the mail server gets it: a claim
    that lapses without it was surely not sent, one that lapses with it is for a person to judge.

    What goes out with others is joined to the one that carries them, which alone is planned,
    claimed and sent: the message is that row's. With it all get their `sent_at`.
    """

    household = models.ForeignKey(Household, models.CASCADE, related_name="notices")
    home = models.ForeignKey(Home, models.CASCADE, related_name="notices")
    plant = models.ForeignKey(Plant, models.SET_NULL, null=True, blank=True, related_name="notices")
    booking = models.ForeignKey(
        Booking, models.SET_NULL, null=True, blank=True, related_name="notices"
    )
    kind = models.CharField(max_length=20, choices=notice_kinds)
    occasion = models.CharField(max_length=120, unique=True)
    lead = models.PositiveSmallIntegerField(
        default=0, help_text="First, second, last: which reminder of the same occasion."
    )
    channel = models.CharField(max_length=10, choices=channels)
    language = models.CharField(max_length=5, choices=languages, default="en")
    facts = models.JSONField(default=nothing, help_text="What the text is made from.")
    due_on = models.DateField(null=True, blank=True, help_text="By when the household must act.")
    send_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=notice_states, default="planned")
    state_reason = models.CharField(max_length=300, blank=True)
    joined_to = models.ForeignKey(
        "self", models.SET_NULL, null=True, blank=True, related_name="joined"
    )
    handed_at = models.DateTimeField(
        null=True, blank=True, help_text="When a worker was last asked to send it."
    )
    claimed_at = models.DateTimeField(null=True, blank=True)
    handing_over_at = models.DateTimeField(
        null=True, blank=True, help_text="Set just before the mail server gets it."
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    released_at = models.DateTimeField(
        null=True,
        blank=True,
        help_text="When a person had it sent again that somebody may have already.",
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    batch = models.CharField(max_length=40, blank=True, help_text="The letters printed together.")
    after = models.OneToOneField(
        "self",
        models.CASCADE,
        null=True,
        blank=True,
        related_name="next",
        help_text="The notice that did not reach them, which this one follows.",
    )
    tried = models.CharField(
        max_length=40, blank=True, help_text="The channels by which it did not reach them."
    )
    bounced_at = models.DateTimeField(null=True, blank=True)
    bounce_said = models.CharField(max_length=300, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=10, choices=answers, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answer_handled_at = models.DateTimeField(null=True, blank=True)
    planned_at = models.DateTimeField(auto_now_add=True)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ["-send_at", "-pk"]
        indexes = [
            models.Index(fields=["state", "send_at"], name="notice_due"),
            models.Index(fields=["batch"], name="notice_batch", condition=~Q(batch="")),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(sent_at__isnull=False),
                name="sent_notice_has_its_moment",
            ),
            models.CheckConstraint(
                condition=~Q(state="claimed") | Q(claimed_at__isnull=False),
                name="claimed_notice_has_its_moment",
            ),
            models.CheckConstraint(
                condition=Q(joined_to=None) | Q(state__in=("joined", "dropped")),
                name="notice_goes_alone_or_in_another",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} for {self.household}"

    @property
    def message_id(self) -> str:
        """The same at every attempt, so that a mail server that sees it twice can tell.

        Nobody else can make it: a report that a mail came back is believed for its sake. Its domain
        is the sender's, as receivers who check signatures like it.
        """
        told = salted_hmac("warranties.notice", f"{self.pk} {self.occasion}").hexdigest()[:24]
        domain = settings.FIRM_EMAIL.rpartition("@")[2]
        return f"<notice-{self.pk}-{told}@{domain}>"
