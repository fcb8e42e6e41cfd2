"""Notices on paper: each a letter of its own page, in one PDF."""

from collections.abc import Sequence
from datetime import datetime
from functools import cache
from pathlib import Path

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.utils.translation import override
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

from shared.firm import the_firm
from warranties.models import Notice
from warranties.notices.writing import entrance, write

STYLE = Path(__file__).with_name("letter.css")
NO_BUTTONS = {"heading", "list", "paragraph"}


def letters_pdf(notices: Sequence[Notice], *, at: datetime) -> bytes:
    """Return the letters, one after the other. Their rows are loaded."""
    fonts, style = _type()
    html = render_to_string("warranties/notices/letters.pdf.html", {"letters": _pages(notices, at)})
    fetcher = URLFetcher(allowed_protocols=["file", "data"])
    document = HTML(string=html, url_fetcher=fetcher)
    return bytes(document.write_pdf(stylesheets=[style], font_config=fonts, pdf_tags=True))


def _pages(notices: Sequence[Notice], at: datetime) -> list[str]:
    return [_page(notice, at) for notice in notices]


def _page(notice: Notice, at: datetime) -> str:
    """One letter: what a mail says, its buttons as a code that opens my home."""
    written = write(notice, at=at)
    code = segno.make(entrance(notice, at), error="m", micro=False).svg_inline(
        omitsize=True, border=2
    )
    facts = {
        "notice": notice,
        "firm": the_firm(),
        "subject": written.subject,
        "blocks": [each for each in written.blocks if each.kind in NO_BUTTONS],
        "address_lines": _address_lines(notice),
        "code": mark_safe(code),  # noqa: S308  # made by segno from our own address
        "on": at.astimezone(notice.home.tz).date(),
    }
    with override(notice.language):
        return render_to_string("warranties/notices/_letter.pdf.html", facts)


def _address_lines(notice: Notice) -> list[str]:
    """Where the household gets its letters: its own address, else the home's."""
    own = notice.household.postal_address.strip()
    return own.splitlines() if own else notice.home.address_lines


@cache
def _type() -> tuple[FontConfiguration, CSS]:
    """One font configuration a process: a new one each time costs memory that never returns."""
    fonts = FontConfiguration()
    folder = (settings.BASE_DIR / "shared/static/shared/fonts").as_uri()
    fetcher = URLFetcher(allowed_protocols=["file", "data"])
    style = STYLE.read_text().replace("{fonts}", folder)
    return fonts, CSS(string=style, font_config=fonts, url_fetcher=fetcher)
