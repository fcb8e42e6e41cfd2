"""What goes out on paper: letters, and certificates with an address page before them."""

from base64 import b64encode
from collections.abc import Iterator, Sequence
from datetime import datetime
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import Any

import pikepdf
import segno
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import override

from customers.models import Home, Household
from shared.firm import the_firm
from shared.pdf import page, paper
from warranties import markup
from warranties.models import Certificate, Notice
from warranties.notices.enclosing import ENCLOSING, certificate_file, enclosure
from warranties.notices.entrance import entrance
from warranties.notices.writing import Written, write

STYLE = Path(__file__).with_name("letter.css")
NO_BUTTONS = {"part", "heading", "list", "picture", "paragraph"}
# What the window of a number 10 holds at the usual size.
MOST_LINES = 4
LONGEST_LINE = 42


def letters_pdf(notices: Sequence[Notice], *, at: datetime) -> bytes:
    """Return the letters, one after the other, each certificate behind its own.

    Their rows are loaded. Raises Certificate.DoesNotExist.
    """
    parts = list(_parts(notices, at))
    return parts[0] if len(parts) == 1 else _bound(parts)


def certificate_for_post(certificate: Certificate, *, at: datetime) -> bytes:
    """Return a printed certificate behind an address page for a window envelope."""
    promise = certificate.promise
    household = promise.holder
    facts = {
        **_address(household, promise.home),
        "language": household.language,
        "number": promise.number,
        "on": at.astimezone(promise.home.tz).date(),
    }
    with override(household.language):
        cover = render_to_string("warranties/notices/_cover.pdf.html", facts)
    _name, content = certificate_file(certificate)
    return _bound([_printed([cover]), content])


def _parts(notices: Sequence[Notice], at: datetime) -> Iterator[bytes]:
    """Letters that follow each other without enclosure are one part."""
    for enclosing, group in groupby(notices, key=lambda each: each.kind in ENCLOSING):
        letters = list(group)
        if not enclosing:
            yield _printed([_page(notice, at) for notice in letters])
            continue
        for notice in letters:
            yield _printed([_page(notice, at)])
            _name, content = enclosure(notice)
            yield content


def _bound(parts: Sequence[bytes]) -> bytes:
    """Return one file to print. Links and signatures are no use on paper: they are left behind."""
    out = BytesIO()
    with pikepdf.new() as bound:
        for part in parts:
            with pikepdf.open(BytesIO(part)) as opened:
                for sheet in opened.pages:
                    if "/Annots" in sheet:
                        del sheet["/Annots"]
                bound.pages.extend(opened.pages)
        bound.save(out)
    return out.getvalue()


def _printed(letters: list[str]) -> bytes:
    html = render_to_string("warranties/notices/letters.pdf.html", {"letters": letters})
    return bytes(page(html).write_pdf(**paper(STYLE), pdf_tags=True))


def _page(notice: Notice, at: datetime) -> str:
    """One letter: what a mail says, its buttons as a code that opens my home."""
    return _letter(notice, write(notice, at=at), address=entrance(notice, at), at=at)


def letter_pdf(notice: Notice, written: Written, *, address: str, at: datetime) -> bytes:
    """Return one letter alone; its code opens that address."""
    return _printed([_letter(notice, written, address=address, at=at)])


def _letter(notice: Notice, written: Written, *, address: str, at: datetime) -> str:
    code = segno.make(address, error="m", micro=False).svg_inline(omitsize=True, border=2)
    facts = {
        **_address(notice.household, notice.home),
        "notice": notice,
        "subject": written.subject,
        "blocks": [each for each in written.blocks if each.kind in NO_BUTTONS],
        "kinds": written.kinds,
        "level": markup.heading_level(written.blocks),
        "picture": _only_picture(written),
        "code": mark_safe(code),  # noqa: S308  # made by segno from our own address
        "on": at.astimezone(notice.home.tz).date(),
    }
    with override(notice.language):
        return render_to_string("warranties/notices/_letter.pdf.html", facts)


def _only_picture(written: Written) -> str:
    """The picture of the one plant as a data address; a letter about several has no room for it."""
    if len(written.pictures) != 1:
        return ""
    return f"data:image/png;base64,{b64encode(written.pictures[0].png).decode()}"


def _address(household: Household, home: Home) -> dict[str, Any]:
    """Where the household gets its letters: its own address, else the home's."""
    own = household.postal_address.strip()
    lines = own.splitlines() if own else home.address_lines
    whole = [household.name, *lines]
    return {
        "firm": the_firm(),
        "name": household.name,
        "address_lines": lines,
        "many": len(whole) > MOST_LINES or any(len(line) > LONGEST_LINE for line in whole),
    }
