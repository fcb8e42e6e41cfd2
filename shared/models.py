"""People who sign in, and the counters behind every running number."""

from django.contrib.auth.models import AbstractUser
from django.db import models, transaction
from django.db.models import F


def languages() -> list[tuple[str, str]]:
    """The languages we write to people in; a function, so that a new one makes no migration."""
    return [("en", "English"), ("es", "Español")]


class User(AbstractUser):
    """Somebody of the firm. What they may do comes from their groups (shared/roles.py)."""

    language = models.CharField(max_length=5, choices=languages, default="en")

    class Meta:
        permissions = [
            ("see_homes", "See homes, plans and their story"),
            ("keep_homes", "Enter and change households and homes, import"),
            ("sell", "Make offers, record agreements and payments"),
            ("book", "Book crews and days"),
            ("fit", "Work a round: fittings, photographs, hours, callbacks"),
            ("decide", "Decide callbacks"),
            ("promise", "Issue, transfer and end promises"),
            ("notify", "See and answer for notices and mail"),
            ("see_ledger", "See revenue, cost and margin"),
            ("keep_firm", "Keep prices, crews and terms"),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class CounterManager(models.Manager["Counter"]):
    def take(self, name: str) -> int:
        """Return the next number of this name, from 1, never twice. Two queries."""
        return self.take_many(name, 1)[0]

    @transaction.atomic
    def take_many(self, name: str, count: int) -> range:
        """Return the next so many numbers of this name. Two queries."""
        if not self.filter(name=name).update(value=F("value") + count):
            _counter, created = self.get_or_create(name=name, defaults={"value": count})
            if not created:
                self.filter(name=name).update(value=F("value") + count)
        last = self.get(name=name).value
        return range(last - count + 1, last + 1)


class Counter(models.Model):
    """A running number: jobs of a year, promises, offers."""

    name = models.CharField(max_length=40, primary_key=True)
    value = models.PositiveBigIntegerField(default=0)

    objects = CounterManager()

    def __str__(self) -> str:
        return f"{self.name}: {self.value}"
