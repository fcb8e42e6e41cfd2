"""What goes along with a notice: certificates and agreements, behind the letter too; receipts."""

from jobs import papers
from jobs.actions import filing, showing
from jobs.actions.paying import due
from jobs.models import AgreedPaper, Offer, Payment
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


def receipt_file(notice: Notice) -> tuple[str, bytes] | None:
    """The receipt as a paper, for mails: a letter is one as it stands. None where it is gone."""
    payments = Payment.objects.select_related("job__home", "job__household")
    payment = payments.filter(pk=notice.facts.get("payment")).first()
    if payment is None:
        return None
    return papers.receipt_file(payment, left=due(payment.job), language=notice.language)


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
