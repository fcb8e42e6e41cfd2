"""Work at the home that is announced: it may open the ring, so a check follows it."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext as _
from simple_history.models import HistoricalRecords

from customers.models import Home
from warranties.models.care import Check


def works() -> list[tuple[str, str]]:
    return [
        ("pool", _("a pool")),
        ("fence", _("a new fence or wall")),
        ("dish", _("a satellite dish or a new line")),
        ("repaint", _("new paint or render")),
        ("beds", _("new flower beds")),
        ("other", _("other work at the walls")),
    ]


def tellers() -> list[tuple[str, str]]:
    return [("household", _("the household")), ("office", _("us"))]


class Announced(models.Model):
    """One piece of work. Its check is made a week after the day; a dropped one has none."""

    home = models.ForeignKey(Home, models.CASCADE, related_name="announced")
    work = models.CharField(max_length=10, choices=works)
    on = models.DateField(help_text="When it is done, as far as they know.")
    note = models.CharField(max_length=200, blank=True)
    told_by = models.CharField(max_length=10, choices=tellers)
    told_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    check_after = models.OneToOneField(
        Check, models.SET_NULL, null=True, blank=True, related_name="announced"
    )
    dropped_at = models.DateTimeField(null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["home", "work", "on"],
                condition=models.Q(dropped_at=None),
                name="work_announced_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_work_display()}, {self.on}"
