"""An issued certificate read off its own pages, as whoever holds it does: is all there?

What the record says does not count here: a style that hides a clause, a page that was never
printed or a firm's own terms that lost an item show only in the words of the file.
"""

from decimal import Decimal
from io import BytesIO

from warranties.clauses import read_clauses
from warranties.disclosures import Fault, Paper, faults
from warranties.models import Certificate


def page_texts(pdf: bytes) -> list[str]:
    """Return the words of each page in the order in which they are drawn, spaces evened out.

    Raises pypdf.errors.PyPdfError where the bytes are no PDF.
    """
    from pypdf import PdfReader  # noqa: PLC0415  # a slow import, wanted on one page

    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages]


def price_of(certificate: Certificate) -> Decimal | None:
    """Return what the warranted work cost before tax; None where it had no price of its own.

    Work done again for nothing is such: the promise of the work before it stands, and its duties.
    """
    job = certificate.promise.job
    return job.revenue if job and job.revenue > 0 else None


def paper_faults(certificate: Certificate, pdf: bytes) -> list[Fault]:
    """Return what the pages lack or should not say, by the duties that the price brings."""
    record, pages = certificate.record, page_texts(pdf)
    terms, firm = record["terms"], record["firm"]
    return faults(
        Paper(
            title=terms["title"] if terms["title"] in pages[0] else "",
            text=" ".join(pages),
            face=pages[0],
            firm=firm["name"],
            contact=(firm["address"], firm["phone"]),
            price=price_of(certificate),
            basis=record["basis"],
            headings=tuple(clause.title for clause in read_clauses(terms["body"]) if clause.title),
        )
    )
