"""A backup put back elsewhere is the same: every row of every table, every byte of every file."""

import io
import json
import tarfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.services.app import App, installation
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
ROWS = """
import json
from django.db import connection
rows = {}
with connection.cursor() as cursor:
    for table in connection.introspection.table_names():
        cursor.execute(f'SELECT * FROM "{table}"')
        rows[table] = sorted(map(repr, cursor.fetchall()))
print(json.dumps(rows))
"""


def rows(app: App) -> dict[str, list[str]]:
    return dict(json.loads(app.python(ROWS)))


def files(app: App) -> dict[str, bytes]:
    var = Path(app.environment["VAR_DIR"])
    kept = [*var.glob("media/**/*"), *var.glob("outbox/*"), var / "secret_key"]
    return {str(path.relative_to(var)): path.read_bytes() for path in kept if path.is_file()}


@pytest.fixture(scope="module", params=["SQLite", "PostgreSQL"])
def make(
    request: pytest.FixtureRequest,
    tmp_path_factory: pytest.TempPathFactory,
    postgres: Postgres,
) -> Callable[[str], App]:
    """Return a function that makes a named installation on the database under test."""

    def make_one(name: str) -> App:
        folder = tmp_path_factory.mktemp(name) / "var"
        url = postgres.new_database() if request.param == "PostgreSQL" else ""
        return installation(folder, DATABASE_URL=url)

    return make_one


@pytest.fixture(scope="module")
def first(make: Callable[[str], App]) -> App:
    app = make("first")
    app.manage("migrate", "--verbosity", "0")
    app.python(FILL)
    return app


@pytest.fixture(scope="module")
def archive(first: App, tmp_path_factory: pytest.TempPathFactory) -> Path:
    archive = tmp_path_factory.mktemp("kept") / "kept.tar"
    first.manage("backup", str(archive))
    return archive


def test_comes_back_the_same_elsewhere(
    first: App, archive: Path, make: Callable[[str], App]
) -> None:
    second = make("second")

    second.manage("restore", str(archive))

    assert archive.stat().st_mode & 0o777 == 0o600
    assert len(rows(first)["customers_household"]) == 2
    assert rows(second) == rows(first)
    assert len(files(first)) == 3
    assert files(second) == files(first)


def test_replaces_what_is_there_only_when_told(archive: Path, make: Callable[[str], App]) -> None:
    other = make("other")
    other.manage("migrate", "--verbosity", "0")
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
