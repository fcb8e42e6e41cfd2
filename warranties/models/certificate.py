"""The papers: the certificate of a promise."""

from typing import Any, Self

from django.db import models

from warranties.models.promise import Promise


def no_record() -> dict[str, Any]:
    return {}


def certificate_path(certificate: "Certificate", _name: str) -> str:
    return f"certificates/{certificate.promise.number}-{certificate.edition}.pdf"


class CertificateQuerySet(models.QuerySet["Certificate"]):
    def current(self) -> Self:
        """Not replaced by a newer edition."""
        return self.filter(replaced_at=None)

    def unprinted(self) -> Self:
        """Written down, but the PDF is still to be made."""
        return self.filter(sha256="").order_by("pk")


class Certificate(models.Model):
    """The paper for a promise. The same `record` makes the same bytes.

    The record is written with the promise; the PDF follows (`file`, `sha256`), made by a task.
    """

    promise = models.ForeignKey(Promise, models.PROTECT, related_name="certificates")
    edition = models.PositiveIntegerField(default=1)
    record = models.JSONField(default=no_record)
    file = models.FileField(upload_to=certificate_path, blank=True)
    sha256 = models.CharField(max_length=64, blank=True, db_index=True)
    issued_at = models.DateTimeField()
    replaced_at = models.DateTimeField(null=True, blank=True)

    objects = CertificateQuerySet.as_manager()

    class Meta:
        ordering = ["-edition"]
        constraints = [
            models.UniqueConstraint(
                fields=["promise", "edition"], name="one_certificate_an_edition"
            ),
            models.UniqueConstraint(
                fields=["promise"],
                condition=models.Q(replaced_at=None),
                name="one_current_certificate_a_promise",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.promise} edition {self.edition}"
