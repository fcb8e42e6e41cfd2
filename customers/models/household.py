"""Who lives in or owns a home, and how they want to be reached."""

from django.db import models
from django.db.models.functions import Lower
from phonenumber_field.modelfields import PhoneNumberField
from simple_history.models import HistoricalRecords

from shared.models import languages


def channels() -> list[tuple[str, str]]:
    return [("mail", "mail"), ("text", "text"), ("letter", "letter"), ("call", "call")]


def default_channels() -> list[str]:
    return ["mail", "text", "letter", "call"]


class Household(models.Model):
    """The people of a home. Personal data lives here and on Consent, nowhere else."""

    name = models.CharField(max_length=200)
    phone = PhoneNumberField(blank=True)
    second_phone = PhoneNumberField(blank=True)
    mail = models.EmailField(blank=True)
    mail_failed = models.EmailField(
        blank=True, help_text="The address that mail came back from; another one is tried again."
    )
    mail_failed_at = models.DateTimeField(null=True, blank=True)
    mail_failed_said = models.CharField(max_length=300, blank=True)
    text_failed = PhoneNumberField(
        blank=True, help_text="The number that gets no texts; another one is tried again."
    )
    text_failed_at = models.DateTimeField(null=True, blank=True)
    text_failed_said = models.CharField(max_length=300, blank=True)
    language = models.CharField(max_length=5, choices=languages, default="en")
    channel_order = models.JSONField(default=default_channels)
    postal_address = models.TextField(blank=True, help_text="Only where it is not the home's.")
    note = models.TextField(blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    history = HistoricalRecords()

    class Meta:
        indexes = [  # by which an import recognises households
            models.Index(fields=["phone"], name="household_by_phone"),
            models.Index(fields=["second_phone"], name="household_by_second_phone"),
            models.Index(Lower("mail"), name="household_by_mail"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def mail_works(self) -> bool:
        """Whether there is a mail address, and none that mail came back from."""
        return self.mail not in ("", self.mail_failed)

    @property
    def gets_texts(self) -> bool:
        """Whether there is a telephone number, and none that a gateway refused."""
        return bool(self.phone) and self.phone != self.text_failed


class Consent(models.Model):
    """Whether a household lets us use a channel: since when and how we know."""

    household = models.ForeignKey(Household, models.CASCADE, related_name="consents")
    channel = models.CharField(max_length=10, choices=channels)
    given = models.BooleanField()
    at = models.DateTimeField()
    how = models.CharField(max_length=200)

    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["household", "channel"], name="one_consent_a_channel")
        ]

    def __str__(self) -> str:
        return f"{self.household}: {self.channel} {'yes' if self.given else 'no'}"
