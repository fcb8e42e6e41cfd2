"""A backup put back elsewhere is the same: every row of every table, every byte of every file."""

import io
import json
import shutil
import sqlite3
import tarfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.services.app import SQLITE, App, installation
from tests.services.servers import Postgres

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]

FILL = """
from pathlib import Path
from django.conf import settings
from django.core.mail import send_mail
from tests.factories import *
make_promise(job=make_job(home=make_home(household=make_household(name="Ñandú & Søn"))))
make_offer()
photo = Path(settings.MEDIA_ROOT, "photos", "a.jpg")
photo.parent.mkdir(parents=True)
photo.write_bytes(bytes(range(256)))
settings.EMAIL_BACKEND = "shared.outbox.OutboxBackend"
send_mail("Hello", "¡Hola!", None, ["a@example.com"])
"""
TABLES = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
    "postgres": "SELECT tablename FROM pg_tables WHERE schemaname = 'public'",
}


def rows(app: App) -> dict[str, list[str]]:
    """Every row of every table, read past Django: a process of it for each look takes long."""
    if url := app.environment.get("DATABASE_URL"):
        with psycopg.connect(url) as connection:
            return all_rows(connection.cursor(), TABLES["postgres"])
    with closing(sqlite3.connect(Path(app.environment["VAR_DIR"]) / SQLITE)) as file:
        return all_rows(file.cursor(), TABLES["sqlite"])


def all_rows(cursor: Any, tables: str) -> dict[str, list[str]]:
    names = [name for (name,) in cursor.execute(tables).fetchall()]
    return {
        name: sorted(map(repr, cursor.execute(f'SELECT * FROM "{name}"').fetchall()))  # noqa: S608
        for name in names
    }


def files(app: App) -> dict[str, bytes]:
    var = Path(app.environment["VAR_DIR"])
    kept = [*var.glob("media/**/*"), *var.glob("outbox/*"), var / "secret_key"]
    return {str(path.relative_to(var)): path.read_bytes() for path in kept if path.is_file()}


@pytest.fixture(scope="module", params=["SQLite", "PostgreSQL"])
def make(
    request: pytest.FixtureRequest,
    tmp_path_factory: pytest.TempPathFactory,
    postgres: Postgres,
    migrated: str,
    migrated_file: Path,
) -> Callable[..., App]:
    """Return a function that makes a named installation on the database under test."""

    def make_one(name: str, *, tables: bool) -> App:
        folder = tmp_path_factory.mktemp(name) / "var"
        if request.param == "PostgreSQL":
            template = migrated if tables else "template1"
            return installation(folder, DATABASE_URL=postgres.new_database(template=template))
        app = installation(folder)
        if tables:
            shutil.copy(migrated_file, folder)
        return app

    return make_one


@pytest.fixture(scope="module")
def first(make: Callable[..., App]) -> App:
    app = make("first", tables=True)
    app.python(FILL)
    return app


@pytest.fixture(scope="module")
def archive(first: App, tmp_path_factory: pytest.TempPathFactory) -> Path:
    archive = tmp_path_factory.mktemp("kept") / "kept.tar"
    first.manage("backup", str(archive))
    return archive


def test_comes_back_the_same_elsewhere(first: App, archive: Path, make: Callable[..., App]) -> None:
    second = make("second", tables=False)

    second.manage("restore", str(archive))

    assert archive.stat().st_mode & 0o777 == 0o600
    assert len(rows(first)["customers_household"]) == 2
    assert rows(second) == rows(first)
    assert len(files(first)) == 3
    assert files(second) == files(first)


def test_replaces_what_is_there_only_when_told(archive: Path, make: Callable[..., App]) -> None:
    other = make("other", tables=True)
    other.python("from tests.factories import *; make_household(name='Another firm')")

    refused = other.run("manage.py", "restore", str(archive))
    assert refused.returncode == 1
    assert "There is something here already" in refused.stderr
    assert "Another firm" in str(rows(other)["customers_household"])

    other.manage("restore", str(archive), "--replace")
    assert "Another firm" not in str(rows(other)["customers_household"])
    (aside,) = Path(other.environment["VAR_DIR"]).glob("replaced-*")
    assert (aside / "secret_key").exists()


def damaged(archive: Path, copy: Path, change: Callable[[dict[str, Any]], None]) -> Path:
    """Write a copy of the archive whose manifest was changed."""
    with tarfile.open(archive) as tar, tarfile.open(copy, "w") as other:
        for member in tar:
            source = tar.extractfile(member)
            assert source
            content = source.read()
            if member.name == "manifest.json":
                manifest = json.loads(content)
                change(manifest)
                content = json.dumps(manifest).encode()
                member.size = len(content)
            other.addfile(member, io.BytesIO(content))
    return copy


def test_refuses_a_damaged_archive_and_touches_nothing(
    first: App, archive: Path, tmp_path: Path
) -> None:
    before = (rows(first), files(first))

    def other_sum(manifest: dict[str, Any]) -> None:
        manifest["files"]["files/media/photos/a.jpg"]["sha256"] = "0" * 64

    wrong = damaged(archive, tmp_path / "damaged.tar", other_sum)
    refused = first.run("manage.py", "restore", str(wrong), "--replace")
    assert "The archive is damaged: files/media/photos/a.jpg" in refused.stderr

    cut_short = tmp_path / "short.tar"
    cut_short.write_bytes(archive.read_bytes()[:20_000])
    refused = first.run("manage.py", "restore", str(cut_short), "--replace")
    assert "is no archive of Ringkeep, or is damaged" in refused.stderr

    outside = tmp_path / "outside.tar"
    with tarfile.open(outside, "w") as tar:
        tar.add(cut_short, "../outside")
    refused = first.run("manage.py", "restore", str(outside), "--replace")
    assert "../outside is not a plain file inside it" in refused.stderr

    assert (rows(first), files(first)) == before
    assert list(Path(first.environment["VAR_DIR"]).glob("re[ps][lt]*-*")) == []
