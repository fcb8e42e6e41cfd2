"""An issued certificate read off its own pages, as whoever holds it does: is all there?

What the record says does not count here: a style that hides a clause, a page that was never
printed or a firm's own terms that lost an item show only in the words of the file.
"""

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


def paper_faults(certificate: Certificate, pdf: bytes) -> list[Fault]:
    """Return what the pages lack or should not say, by what the work cost before tax.

    Work done again for nothing brings no price of its own: then every rule is due (16 CFR 701.3).
    """
    record, pages = certificate.record, page_texts(pdf)
    terms, firm = record["terms"], record["firm"]
    return faults(
        Paper(
            title=terms["title"] if terms["title"] in pages[0] else "",
            text=" ".join(pages),
            face=pages[0],
            firm=firm["name"],
            contact=(firm["address"], firm["phone"]),
            price=(certificate.promise.job and certificate.promise.job.revenue) or None,
            basis=record["basis"],
            headings=tuple(clause.title for clause in read_clauses(terms["body"]) if clause.title),
        )
    )
