"""One archive of everything that an installation keeps: its tables and its files.

A plain tar: database.sqlite3 (SQLite's online backup) or database.dump (pg_dump's custom format),
files/... as they lie in var/, and at the end manifest.json with the size and sha256 of each.
The tables are taken first: a photograph is written before its row, so no row misses its file.
"""

import hashlib
import io
import json
import os
import shutil
import sqlite3
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import connection

FORMAT = 1
OUR_APPS = ("shared", "customers", "jobs", "warranties")
# What can be made again, or belongs to running processes only.
NOT_KEPT = (
    *("static", "cache", "log", "broker", "backups", "screenshots", "replaced-*", "restoring-*"),
    *("*.sqlite3*", "*.sock", "*.lock", "*.pid", "celerybeat-schedule*"),
)
# Otherwise psql would keep tables that the archive does not know.
EMPTY_FIRST = b"DROP SCHEMA public CASCADE; CREATE SCHEMA public;\n"


class NotRestorable(Exception):
    """The archive cannot be put back here. The message is fit to show a person."""


class NotKept(Exception):
    """The backup cannot be made. The message is fit to show a person."""


def keep(archive: Path) -> dict[str, Any]:
    """Write the archive whole or not at all, readable by us only; return its manifest."""
    if archive.exists():
        raise NotKept(f"{archive} exists already.")
    archive.parent.mkdir(parents=True, exist_ok=True)
    part = archive.with_name(f"{archive.name}.part")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file, tempfile.TemporaryDirectory() as folder:
        with tarfile.open(fileobj=file, mode="w") as tar:
            sums = dict(_add(tar, path, name) for path, name in _everything(Path(folder)))
            manifest = {
                "format": FORMAT,
                "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
                "database": connection.vendor,
                "files": sums,
            }
            _add_text(tar, "manifest.json", json.dumps(manifest, indent=1))
        file.flush()
        os.fsync(file.fileno())
    part.replace(archive)
    return manifest


def put_back(archive: Path, *, replace: bool) -> dict[str, Any]:
    """Restore the archive; nothing is touched before all of it was read and found whole.

    Raises NotRestorable where something is here already (unless replace), where the archive is
    damaged or of another kind of database, or where Ringkeep is running.
    """
    if not replace and not is_empty():
        raise NotRestorable("There is something here already. Add --replace to put it aside.")
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    unpacked = settings.VAR_DIR / f"restoring-{stamp}"
    unpacked.mkdir(mode=0o700)
    try:
        manifest = _unpack(archive, unpacked)
        _put_database_back(unpacked)
        _put_files_back(unpacked / "files", settings.VAR_DIR / f"replaced-{stamp}")
    finally:
        shutil.rmtree(unpacked)
    return manifest


def is_empty() -> bool:
    """Whether this installation holds no row of ours and no photograph. A query a model."""
    tables = set(connection.introspection.table_names())
    models = [model for app in OUR_APPS for model in apps.get_app_config(app).get_models()]
    held = any(
        model._meta.db_table in tables and model._base_manager.exists()  # noqa: SLF001  # Django's
        for model in models
    )
    media = Path(settings.MEDIA_ROOT)
    return not held and not (media.exists() and any(media.iterdir()))


def _everything(folder: Path) -> Iterator[tuple[Path, str]]:
    """Yield each file to keep with its name in the archive, the tables first."""
    if connection.vendor == "sqlite":
        yield _copy_sqlite(folder / "database.sqlite3"), "database.sqlite3"
    else:
        yield _dump_postgres(folder / "database.dump"), "database.dump"
    for top in sorted(settings.VAR_DIR.iterdir()):
        if not any(top.match(pattern) for pattern in NOT_KEPT):
            paths = sorted(top.rglob("*")) if top.is_dir() else [top]
            for path in paths:
                if path.is_file() and not path.is_symlink() and path.suffix != ".part":
                    yield path, f"files/{path.relative_to(settings.VAR_DIR)}"


def _copy_sqlite(copy: Path) -> Path:
    connection.ensure_connection()
    with closing(sqlite3.connect(copy)) as target:
        connection.connection.backup(target)
    return copy


def _dump_postgres(dump: Path) -> Path:
    _run("pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={dump}")
    return dump


def _run(program: str, *arguments: str, text: bytes | None = None) -> bytes:
    """Run one of PostgreSQL's programs on our database; the password goes by its environment."""
    to = connection.settings_dict
    address = {"PGHOST": to["HOST"], "PGPORT": str(to["PORT"] or ""), "PGUSER": to["USER"]}
    address |= {"PGPASSWORD": to["PASSWORD"], "PGDATABASE": to["NAME"]}
    try:
        done = subprocess.run(  # noqa: S603  # fixed programs and our own arguments
            [program, *arguments],
            env={**os.environ, **{name: value for name, value in address.items() if value}},
            input=text,
            capture_output=True,
            check=False,
        )
    except FileNotFoundError as error:
        raise NotKept(f"{program} is missing: apt-get install postgresql-client") from error
    if done.returncode:
        raise NotKept(f"{program}: {done.stderr.decode(errors='replace').strip()}")
    return done.stdout


def _add(tar: tarfile.TarFile, path: Path, name: str) -> tuple[str, dict[str, Any]]:
    tar.add(path, name)
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return name, {"size": path.stat().st_size, "sha256": digest}


def _add_text(tar: tarfile.TarFile, name: str, text: str) -> None:
    member = tarfile.TarInfo(name)
    member.size, member.mode = len(text.encode()), 0o600
    tar.addfile(member, io.BytesIO(text.encode()))


def _unpack(archive: Path, folder: Path) -> dict[str, Any]:
    """Unpack into the folder and check every size and sum against the manifest."""
    try:
        with tarfile.open(archive) as tar:
            _extract(tar, folder)
        manifest = json.loads((folder / "manifest.json").read_text())
    except (OSError, ValueError, tarfile.TarError) as error:
        raise NotRestorable(
            f"{archive} is no archive of Ringkeep, or is damaged: {error}"
        ) from error
    if manifest.get("format") != FORMAT:
        raise NotRestorable(f"{archive} is of a kind that this release cannot read.")
    if manifest["database"] != connection.vendor:
        raise NotRestorable(
            f"The archive is of {manifest['database']}; this installation uses {connection.vendor}."
        )
    if wrong := _damaged(folder, manifest["files"]):
        raise NotRestorable(f"The archive is damaged: {', '.join(sorted(wrong)[:5])}.")
    return dict(manifest)


def _damaged(folder: Path, said: dict[str, dict[str, Any]]) -> set[str]:
    """Return the files that are missing, too many, or not what the manifest says of them."""
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    changed = {name for name in there & said.keys() if _sum(folder / name) != said[name]["sha256"]}
    return changed | (there ^ {"manifest.json", *said})


def _extract(tar: tarfile.TarFile, folder: Path) -> None:
    """Write plain files inside the folder only. (Python 3.11.2 has no filters for this.)"""
    for member in tar:
        target = (folder / member.name).resolve()
        source = tar.extractfile(member) if member.isreg() else None
        if source is None or not target.is_relative_to(folder.resolve()):
            raise tarfile.TarError(f"{member.name} is not a plain file inside it")
        target.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with source, os.fdopen(handle, "wb") as file:
            shutil.copyfileobj(source, file)


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _put_database_back(unpacked: Path) -> None:
    if connection.vendor == "sqlite":
        with closing(sqlite3.connect(unpacked / "database.sqlite3")) as source:
            if source.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                raise NotRestorable("The database in the archive is damaged.")
            connection.ensure_connection()
            source.backup(connection.connection)
    else:
        tables = _run("pg_restore", "--no-owner", "--file=-", str(unpacked / "database.dump"))
        connection.close()
        _run("psql", "-q", "-1", "-v", "ON_ERROR_STOP=1", "-f", "-", text=EMPTY_FIRST + tables)


def _put_files_back(files: Path, aside: Path) -> None:
    """Put what lies here aside, then move the files of the archive to their places."""
    aside.mkdir(mode=0o700)
    for top in list(settings.VAR_DIR.iterdir()):
        if not any(top.match(pattern) for pattern in NOT_KEPT):
            top.rename(aside / top.name)
    if files.exists():
        for top in list(files.iterdir()):
            top.rename(settings.VAR_DIR / top.name)
    if not any(aside.iterdir()):
        aside.rmdir()
