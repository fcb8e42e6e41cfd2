"""How often seals of one kind open, as last counted, and lots that were called back."""

from django.conf import settings
from django.db import models
from django.urls import reverse

from warranties.sealwords import seals_of


def seal_groups() -> list[tuple[str, str]]:
    return [
        ("firm", "all seals"),
        ("lot", "sealant lot"),
        ("crew", "crew"),
        ("surface", "surface"),
        ("exposure", "side"),
        ("age", "age"),
    ]


class SealCount(models.Model):
    """What the firm saw of a group of its seals. Counted anew by warranties.actions.recalling."""

    group = models.CharField(max_length=10, choices=seal_groups)
    name = models.CharField(max_length=80, blank=True)
    sealings = models.PositiveIntegerField()
    openings = models.FloatField(help_text="One that nobody can place is shared out.")
    seal_years = models.FloatField(help_text="Years that promised sealings have stood, summed.")
    first_on = models.DateField()
    last_on = models.DateField()

    class Meta:
        ordering = ["group", "name"]
        constraints = [models.UniqueConstraint(fields=["group", "name"], name="one_count_a_group")]

    def __str__(self) -> str:
        return f"{self.get_group_display()} {self.name}".strip()

    @property
    def seals(self) -> str:
        """What its seals are called."""
        return seals_of(self.group, self.name)


class Recall(models.Model):
    """A lot of sealant that is checked wherever it was used."""

    lot = models.CharField(max_length=40, unique=True)
    reason = models.CharField(max_length=300)
    recalled_at = models.DateTimeField()
    recalled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+"
    )

    class Meta:
        ordering = ["-recalled_at"]

    def __str__(self) -> str:
        return f"Lot {self.lot}"

    def get_absolute_url(self) -> str:
        return reverse("lot", args=[self.lot])
