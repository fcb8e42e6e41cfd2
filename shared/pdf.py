"""HTML to PDF by WeasyPrint: only the bundled fonts are read, nothing is fetched.

The engine is imported at the first paper: that takes most of a second, which no page and no command
that prints nothing should pay.
"""

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile

COMMON_STYLE = Path(__file__).with_name("paper.css")


@cache
def engine() -> Any:
    """Return WeasyPrint."""
    import weasyprint  # noqa: PLC0415  # see above

    return weasyprint


def page(html: str) -> Any:
    """Return the text as WeasyPrint's HTML, to be rendered or written with `paper(...)`."""
    return engine().HTML(string=html, url_fetcher=_no_network())


@cache
def paper(style: Path) -> dict[str, Any]:
    """Return the options that carry a paper's style sheet, behind the one that all papers share.

    One font configuration a process: a new one each time costs memory that never returns.
    """
    weasyprint = engine()
    fonts = weasyprint.text.fonts.FontConfiguration()
    folder = (settings.BASE_DIR / "shared/static/shared/fonts").as_uri()
    text = f"{COMMON_STYLE.read_text()}\n{style.read_text()}".replace("{fonts}", folder)
    sheet = weasyprint.CSS(string=text, font_config=fonts, url_fetcher=_no_network())
    return {"stylesheets": [sheet], "font_config": fonts}


def keep_printed(row: Any, *, name: str, pdf: bytes) -> None:
    """Keep a paper in the `file` of its row with its `sha256`; what is kept already stays.

    Of two workers who printed the same the quicker one's file is kept. The row is read again.
    """
    row.file.save(name, ContentFile(pdf), save=False)
    row.file.close()
    unprinted = type(row).objects.filter(pk=row.pk, sha256="")
    if not unprinted.update(file=row.file.name, sha256=sha256(pdf).hexdigest()):
        row.file.delete(save=False)
    row.refresh_from_db()


def _no_network() -> Any:
    return engine().urls.URLFetcher(allowed_protocols=["file", "data"])
