"""Planning the notices of every home, against a bare INSERT ... SELECT of the same rows.

Prints ratios, never times. Every home has a promise and a plant, which come due over a year; those
due are planned, on SQLite and on a throwaway PostgreSQL. Bare is the insert of the very same rows
from a table that holds them, into the same table with the same indexes and constraints: nothing
chosen, nothing looked up. Compared is the processor's time of this process and of the database's.
"growth" is the time of a size over that of the size before, divided by the growth in homes: 1 is
linear.

    python -m tests.bench.bench_planning 1000000     another size than make bench takes
"""

# ruff: noqa: PLC0415  # Only the measuring process wants Django.

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from statistics import median
from time import process_time
from typing import Any

from tests.bench.processor import seconds_of
from tests.published import ROOT
from tests.services.servers import postgres_server

SIZES = (1_000, 10_000, 100_000)
ROUNDS = 3
DAYS = 365
LATER = {
    "sqlite": f"date(opens_on, '+' || (nth % {DAYS}) || ' days')",
    "postgresql": f"opens_on + (nth % {DAYS})::int",
}
EMPTY = {"sqlite": "DELETE FROM", "postgresql": "TRUNCATE TABLE"}


def measure(homes: int) -> dict[str, float]:
    """Seconds of planning, of planning again and of the bare insert, in this process's database."""
    import django

    django.setup()
    from django.core.management import call_command
    from django.utils.timezone import now

    from warranties.notices import plan_notices

    call_command("migrate", verbosity=0)
    fill(homes)
    at = now()
    rounds = []
    for _ in range(ROUNDS):
        run(f"{EMPTY[vendor()]} warranties_notice")
        planned = timed(lambda: plan_notices(at))
        again = timed(lambda: plan_notices(at))
        run("DROP TABLE IF EXISTS kept")
        run("CREATE TABLE kept AS SELECT * FROM warranties_notice")
        run(f"{EMPTY[vendor()]} warranties_notice")
        bare = timed(lambda: run("INSERT INTO warranties_notice SELECT * FROM kept"))
        rounds.append((planned, again, bare))
    medians = map(median, zip(*rounds, strict=True))
    return dict(zip(("planned", "again", "bare"), medians, strict=True))


def fill(homes: int) -> None:
    """Make one home with all that it takes to be told, and copy it by the database alone."""
    from datetime import timedelta

    from django.utils.timezone import localdate

    from customers.models import Consent, Home, Household, Ownership, Plant
    from jobs.models import Job
    from tests.factories import make_watch
    from warranties.models import Promise, Watch

    make_watch(opens_on=localdate() + timedelta(days=1))
    every = (Household, Consent, Home, Ownership, Job, Promise, Plant, Watch)
    for model in every:
        copy(model, homes, every)
    if vendor() == "postgresql":
        run("ANALYZE")  # as its autovacuum does by itself


def copy(model: Any, homes: int, every: tuple[Any, ...]) -> None:
    """Copy the model's one row, so that all rows of one home have one number for their keys."""
    meta = model._meta  # noqa: SLF001  # documented
    values = {field.column: copied(field, every) for field in meta.concrete_fields}
    columns, chosen = ", ".join(f'"{name}"' for name in values), ", ".join(values.values())
    run(
        f"INSERT INTO {meta.db_table} ({columns}) WITH RECURSIVE numbers(nth) AS"  # noqa: S608
        f" (SELECT 2 UNION ALL SELECT nth + 1 FROM numbers WHERE nth < {homes})"
        f" SELECT {chosen} FROM {meta.db_table}, numbers WHERE id = 1"
    )


def copied(field: Any, every: tuple[Any, ...]) -> str:
    if field.primary_key or field.related_model in every:
        return "nth"
    if field.name == "opens_on":
        return LATER[vendor()]
    return f"{field.column} || '-' || nth" if field.unique else f'"{field.column}"'


def vendor() -> str:
    from django.db import connection

    return connection.vendor


def run(command: str) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(command)


def timed(work: Callable[[], object]) -> float:
    """Processor time of the work here and in the database's process."""
    number = server_process()
    start = process_time() + seconds_of(number)
    work()
    return process_time() + seconds_of(number) - start


def server_process() -> int:
    """The process that serves us, 0 for SQLite, which works in ours."""
    from django.db import connection

    if connection.vendor == "sqlite":
        return 0
    with connection.cursor() as cursor:
        cursor.execute("SET max_parallel_workers_per_gather = 0")
        cursor.execute("SELECT pg_backend_pid()")
        return int(cursor.fetchone()[0])


@contextmanager
def databases() -> Iterator[dict[str, Callable[[], str]]]:
    """By name, a function that gives the address of a new database."""
    with postgres_server() as server:
        yield {"SQLite": str, "PostgreSQL": server.new_database}


def measured(url: str, homes: int) -> dict[str, float]:
    """Run measure() in a process of its own."""
    with tempfile.TemporaryDirectory(prefix="ringkeep-bench-") as folder:
        done = subprocess.run(
            [sys.executable, "-m", __spec__.name, "measure", str(homes)],
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "shared.settings",
                "DATABASE_URL": url,
                "VAR_DIR": folder,
            },
            cwd=ROOT,
            check=True,
            stdout=subprocess.PIPE,
        )
    return dict(json.loads(done.stdout))


def bench(sizes: tuple[int, ...] = SIZES) -> dict[str, list[float]]:
    """Print and return, by database, the ratios to the bare insert for each size."""
    ratios: dict[str, list[float]] = {}
    with databases() as new_database:
        for name, address in new_database.items():
            before = (0, 0.0)
            for homes in sizes:
                took = measured(address(), homes)
                ratio = took["planned"] / took["bare"]
                line = f"{name:>10} {homes:>9,} homes: {ratio:5.1f} x a bare insert"
                line += f", planned again {took['again'] / took['planned']:.2f} of it"
                if before[0]:
                    growth = took["planned"] / before[1] * before[0] / homes
                    line += f", growth {growth:.2f}"
                print(line, flush=True)  # noqa: T201
                before = (homes, took["planned"])
                ratios.setdefault(name, []).append(ratio)
    return ratios


if __name__ == "__main__":
    if sys.argv[1:2] == ["measure"]:
        print(json.dumps(measure(int(sys.argv[2]))))  # noqa: T201
    else:
        bench(tuple(map(int, sys.argv[1:])) or SIZES)
