"""List, find and ledger at 100,000 homes, against 1,000 homes and against bare views.

Prints ratios, never times: they would tell about the machine. What is compared is the processor's
time of the process, in which SQLite works too: a busy machine blurs it least. Each size has its
scratch database (`manage.py make_homes`), kept under var/bench while the tables stay as they are,
and is measured in a process of its own. A bare view stands behind the same sign-in, asks for the
same rows in the same order by one query and writes them with a plain template: no totals, no
filters, no bar. The ledger is that of the last whole month, so that each size shows a full page of
50 rows on whatever day this runs.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
SCRATCH = Path(os.environ.get("VAR_DIR", ROOT / "var")) / "bench"
SMALL, LARGE = 1_000, 100_000
WARM, VISITS, ROUNDS = 5, 20, 5
SHARE = 0.95
PAGES = {
    "homes": "/homes/",
    "homes, far down": "/homes/?after={late}",
    "homes of a neighbourhood": "/homes/?neighbourhood=Windmill",
    "find a street": "/homes/?find=juniper",
    "find a person": "/homes/?find=ortega",
    "find a person in a street": "/homes/?find=ana+lane",
    "ledger": "/ledger/?month={month}",
    "ledger, any month": "/ledger/?crew=",
}
BARE = {"homes": "/bare/homes/", "ledger": "/bare/ledger/"}
AIM_SIZE, AIM_BARE, MOST_QUERIES = 1.3, 2.0, 8

HOMES = """<table>{% for home in homes %}<tr>
<td><a href="{{ home.get_absolute_url }}">{{ home.street }} {{ home.unit }}</a></td>
<td>{{ home.city }}</td><td>{{ home.neighbourhood }}</td>
<td>{{ home.holder_name }}</td><td>{{ home.holder_phone }}</td>
</tr>{% endfor %}</table>"""
LEDGER = """<table>{% for job in jobs %}<tr>
<td>{{ job.number }}</td><td>{{ job.fitted_on }}</td><td>{{ job.home.street }}</td>
<td>{{ job.crew.name }}</td><td>{{ job.kind }}</td><td>{{ job.source }}</td>
<td>{{ job.revenue }}</td><td>{{ job.materials }}</td><td>{{ job.labour }}</td>
<td>{{ job.other_cost }}</td><td>{{ job.promise_cost }}</td><td>{{ job.margin }}</td>
<td>{{ job.margin_share }}</td></tr>{% endfor %}</table>"""


def p95(visit: Callable[[], object]) -> float:
    """The least of several rounds: what else the machine does only ever adds."""
    for _ in range(WARM):
        visit()
    return min(one_round(visit) for _ in range(ROUNDS))


def one_round(visit: Callable[[], object]) -> float:
    taken = []
    for _ in range(VISITS):
        start = process_time()
        visit()
        taken.append(process_time() - start)
    return sorted(taken)[int(VISITS * SHARE)]


def scratch(size: int) -> Path:
    """Return the folder of a database with so many homes, filled where it is not yet."""
    tables = hashlib.sha256()
    for path in sorted(ROOT.glob("*/migrations/0*.py")) + sorted(ROOT.glob("*/scratch.py")):
        tables.update(path.read_bytes())
    folder = SCRATCH / str(size)
    mark = folder / "filled"
    if not mark.exists() or mark.read_text() != tables.hexdigest():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        run(folder, "manage.py", "migrate", "-v0")
        run(folder, "manage.py", "make_homes", str(size))
        mark.write_text(tables.hexdigest())
    return folder


def run(folder: Path, *command: str) -> str:
    """Run a Python of ours upon that folder; its last line."""
    surroundings = {**os.environ, "VAR_DIR": str(folder), "DATABASE_URL": ""}
    del surroundings["DATABASE_URL"]
    done = subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=surroundings, check=True, capture_output=True
    )
    return (done.stdout.decode().splitlines() or [""])[-1]


def measure() -> dict[str, dict[str, float]]:
    """The p95 in seconds and the queries of each page, in this process's database."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "shared.settings"
    import django  # noqa: PLC0415  # only the measuring process wants Django

    django.setup()
    from django.conf import settings  # noqa: PLC0415
    from django.test import Client, override_settings  # noqa: PLC0415
    from django.utils.timezone import localdate  # noqa: PLC0415

    from customers.models import Home  # noqa: PLC0415
    from jobs.ledger import months_until  # noqa: PLC0415
    from tests.factories import make_user  # noqa: PLC0415

    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    storages = {**settings.STORAGES, "staticfiles": plain}
    late = Home.objects.order_by("-street_order")[100].pk
    month = f"{months_until(localdate(), 2)[0]:%Y-%m}"  # the last whole one
    addresses = {**PAGES, **{f"bare {name}": address for name, address in BARE.items()}}
    with override_settings(ROOT_URLCONF=__name__, ALLOWED_HOSTS=["testserver"], STORAGES=storages):
        client = Client()
        backend = settings.AUTHENTICATION_BACKENDS[-1]
        client.force_login(make_user(role="owner"), backend=backend)
        return {
            name: figures(client, where.format(late=late, month=month))
            for name, where in addresses.items()
        }


def figures(client: Any, where: str) -> dict[str, float]:
    from django.db import connection  # noqa: PLC0415
    from django.test.utils import CaptureQueriesContext  # noqa: PLC0415

    with CaptureQueriesContext(connection) as queries:
        answer = client.get(where)
        asked = len(queries)  # now: the next request forgets them
    if answer.status_code != 200:
        raise RuntimeError(f"{where} answers {answer.status_code}")
    return {"p95": p95(lambda: client.get(where)), "queries": asked}


def bare_urls() -> list[Any]:
    """The addresses of Ringkeep and the two bare views."""
    from django.db.models import F, FloatField  # noqa: PLC0415
    from django.db.models.functions import Cast  # noqa: PLC0415
    from django.http import HttpResponse  # noqa: PLC0415
    from django.template import engines  # noqa: PLC0415
    from django.urls import include, path  # noqa: PLC0415
    from django.utils.timezone import localdate  # noqa: PLC0415

    from customers.models import Home  # noqa: PLC0415
    from jobs.ledger import months_until  # noqa: PLC0415
    from jobs.models import Job  # noqa: PLC0415
    from shared.roles import allowed  # noqa: PLC0415

    homes_page = engines["django"].from_string(HOMES)
    ledger_page = engines["django"].from_string(LEDGER)

    @allowed("see_homes")
    def homes(_request: Any) -> HttpResponse:
        rows = Home.objects.in_order().with_household()[:25]
        return HttpResponse(homes_page.render({"homes": rows}))

    @allowed("see_ledger")
    def ledger(_request: Any) -> HttpResponse:
        end = localdate().replace(day=1)
        cost = F("materials") + F("labour") + F("other_cost") + F("promise_cost")
        share = Cast(F("revenue") - cost, FloatField()) / Cast("revenue", FloatField())
        rows = Job.objects.filter(fitted_on__gte=months_until(end, 2)[0], fitted_on__lt=end)
        rows = rows.annotate(margin=F("revenue") - cost, margin_share=share)
        chosen = rows.select_related("home", "crew").order_by("-fitted_on", "-pk")[:50]
        return HttpResponse(ledger_page.render({"jobs": chosen}))

    return [
        path(BARE["homes"].lstrip("/"), homes),
        path(BARE["ledger"].lstrip("/"), ledger),
        path("", include("shared.urls")),
    ]


def __getattr__(name: str) -> Any:
    """Let Django take this module for its addresses, without needing Django to import it."""
    if name == "urlpatterns":
        return bare_urls()
    raise AttributeError(name)


def bench() -> dict[str, dict[str, float]]:
    """Print and return, by page: p95 at LARGE over SMALL, over the bare view, and its queries."""
    at = {
        size: json.loads(run(scratch(size), "-m", "tests.bench.bench_pages"))
        for size in (SMALL, LARGE)
    }
    ratios = {}
    for name in PAGES:
        large = at[LARGE][name]
        ratios[name] = {
            "size": large["p95"] / at[SMALL][name]["p95"],
            "queries": max(at[size][name]["queries"] for size in at),
        }
        line = f"{name:>26}: {ratios[name]['size']:5.2f} x the page at {SMALL:,} homes"
        bare = at[LARGE].get(f"bare {name}")
        if bare:
            ratios[name]["bare"] = large["p95"] / bare["p95"]
            line += f", {ratios[name]['bare']:5.2f} x a bare view"
        print(f"{line}, {ratios[name]['queries']:.0f} queries")  # noqa: T201
    print(f"aims: {AIM_SIZE} by size, {AIM_BARE} to bare, {MOST_QUERIES} queries")  # noqa: T201
    return ratios


if __name__ == "__main__":
    print(json.dumps(measure()))  # noqa: T201
