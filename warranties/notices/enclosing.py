"""What goes along with a notice, attached or behind the letter: certificates and agreements."""

from jobs import papers
from jobs.actions import filing, showing
from jobs.models import AgreedPaper, Offer
from warranties.models import Certificate, Notice

ENCLOSING = ("certificate", "agreement", "offer-paper")


def enclosure(notice: Notice) -> tuple[str, bytes]:
    """Return the name and the bytes of the file that goes with it: those that are kept."""
    if notice.kind == "certificate":
        return certificate_file(Certificate.objects.get(pk=notice.facts["certificate"]))
    if notice.kind == "agreement":
        kept = AgreedPaper.objects.select_related("offer").get(offer=notice.facts["offer"])
        return f"{kept.offer.number}.pdf", filing.kept_bytes(kept)
    return _to_sign(notice)


def certificate_file(certificate: Certificate) -> tuple[str, bytes]:
    with certificate.file.open() as file:
        return f"{certificate.promise.number}.pdf", bytes(file.read())


def _to_sign(notice: Notice) -> tuple[str, bytes]:
    offer = Offer.objects.select_related("job__home", "job__household").get(
        pk=notice.facts["offer"]
    )
    shown = showing.show(offer=offer, at=notice.planned_at)
    signed_on = offer.paper_sign_by or offer.valid_until
    record = papers.shown_record(shown.facts, signed_on=signed_on, latest=True)
    return f"{offer.number}.pdf", papers.as_pdf(record)
