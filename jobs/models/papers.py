"""What a household was shown of an offer, and the paper that it agreed to. Neither ever changes."""

from typing import Self

from django.db import models
from django.urls import reverse

from jobs.models.offer import Offer


class OfferShown(models.Model):
    """An offer as a page or a paper showed it. `code` stands at the foot of it.

    `facts` are those of jobs.papers.record.offer_facts; the same facts make the same code.
    """

    offer = models.ForeignKey(Offer, models.CASCADE, related_name="shown")
    code = models.CharField(max_length=8)
    facts = models.JSONField()
    shown_at = models.DateTimeField(help_text="When it was first shown like this.")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "code"], name="one_showing_an_offer_and_code")
        ]

    def __str__(self) -> str:
        return f"{self.offer}, {self.code}"


class AgreedPaperQuerySet(models.QuerySet["AgreedPaper"]):
    def unprinted(self) -> Self:
        return self.filter(sha256="").order_by("pk")


class AgreedPaper(models.Model):
    """The document that a household agreed to: written down with the agreement, printed after it.

    The file is made once, from `record` alone. Whatever leaves the house are its bytes.
    """

    offer = models.OneToOneField(Offer, models.PROTECT, related_name="agreed_paper")
    record = models.JSONField()
    file = models.FileField(upload_to="agreements/", blank=True)
    sha256 = models.CharField(max_length=64, blank=True)

    objects = AgreedPaperQuerySet.as_manager()

    def __str__(self) -> str:
        return f"Agreement {self.offer}"

    def get_absolute_url(self) -> str:
        return reverse("offer-agreed-paper", args=[self.offer.number])
