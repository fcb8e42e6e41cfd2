"""The paper of an agreement: written down with it, printed once, checked whenever asked."""

from hashlib import sha256

from jobs import papers
from jobs.models import AgreedPaper, Offer
from shared.pdf import keep_printed


def write_down(*, offer: Offer, facts: papers.Facts) -> AgreedPaper:
    """Keep what was agreed to, inside the transaction that agrees."""
    record = papers.agreed_record(facts, offer)
    return AgreedPaper.objects.create(offer=offer, record=record)


def print_out(*, paper: AgreedPaper) -> AgreedPaper:
    """Make the PDF from the record and keep it with its sha256. Twice makes it once.

    Never inside a transaction: it takes longer than a database should be held.
    """
    if not paper.sha256:
        keep_printed(paper, name="agreement.pdf", pdf=papers.as_pdf(paper.record))
    return paper


def kept_bytes(paper: AgreedPaper) -> bytes:
    """The PDF as it was printed. Raises FileNotFoundError where somebody took it away."""
    with paper.file.open() as file:
        return bytes(file.read())


def is_whole(paper: AgreedPaper) -> bool:
    """Whether the kept file still is the one whose sum was kept with the agreement."""
    try:
        return sha256(kept_bytes(paper)).hexdigest() == paper.sha256
    except FileNotFoundError:
        return False
