"""Certificates against bare WeasyPrint on the same HTML, and one process against two.

Ours lays out the pages, tags them for two standards, attaches the record and signs. The best
attainable with this engine is its plain PDF of the same page.
"""

# ruff: noqa: PLC0415  # Django is set up first: in each process of the scaling run too.

import os
import statistics
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import django

ROUNDS = 7
EACH = 8  # certificates a process in the scaling run


def sample_record() -> dict[str, Any]:
    """A certificate's record as large as most: six legs' worth of rows, the shipped terms."""
    from warranties.actions.terming import DRAFTS
    from warranties.certificate.record import SCHEMA
    from warranties.clauses import read_draft

    head, body = read_draft((DRAFTS / "promise.en.md").read_text(encoding="utf-8"))
    return {
        "schema": SCHEMA,
        "number": "RK-2026-00042-32",
        "edition": 1,
        "language": "en",
        "issued_at": "2026-03-02T19:00:00+00:00",
        "issued_on": "2026-03-02",
        "check_address": "https://promise.example.com/check/RK-2026-00042-32/",
        "firm": {"name": "Dry Creek Barrier Co.", "address": "", "phone": "", "email": ""},
        "home": {"lines": ["14 Juniper Bend", "Mesquite Flat, AZ 85000"], "country": "US"},
        "holder": "Household",
        "basis": "home",
        "starts_on": "2026-03-02",
        "clearance": "1' 0\"",
        "fitted": [{"code": "collar", "places": "gas riser at leg 2"}] * 5,
        "proof": {"on": "2026-02-27", "by": "Rosa Quintero"},
        "exceptions": [],
        "plants": [],
        "plan": {},
        "terms": {
            "paper": "promise",
            "version": 1,
            "title": head["title"],
            "body": body,
            "counsel": "",
            "counsel_on": "",
        },
    }


def median_ms(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1000


def bench() -> dict[str, Any]:
    """Return medians in milliseconds, their ratio, and how two processes scale."""
    from warranties.certificate import printed
    from warranties.certificate.layout import first_layout
    from warranties.certificate.paper import certificate_html, certificate_page
    from warranties.certificate.press import bare_pdf

    record = sample_record()
    page = certificate_page(record)
    html = certificate_html(page, first_layout(page, a4=False))
    ours = median_ms(lambda: printed(record))
    bare = median_ms(lambda: bare_pdf(html))
    return {
        "certificate_ms": round(ours, 1),
        "bare_weasyprint_ms": round(bare, 1),
        "ratio": round(ours / bare, 2),
        "speed_up_with_two_processes": round(_seconds(1) / _seconds(2), 2),
    }


def _seconds(processes: int) -> float:
    """How long it takes to print 2 * EACH certificates."""
    context = get_context("spawn")
    with ProcessPoolExecutor(processes, mp_context=context, initializer=_begin) as pool:
        list(pool.map(_print, range(processes)))  # fonts read, keys at hand
        start = time.perf_counter()
        list(pool.map(_print, range(2 * EACH)))
        return time.perf_counter() - start


def _begin() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shared.settings")
    django.setup()


def _print(_number: int) -> int:
    from warranties.certificate import printed

    return len(printed(sample_record()).pdf)


if __name__ == "__main__":
    _begin()
    print(bench())  # noqa: T201
