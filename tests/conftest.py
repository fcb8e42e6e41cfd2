"""The same people everywhere: somebody of the office, a tech, the owner, and nobody."""

import gc
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import translation
from pytest_django import Settings

from shared import photos
from tests.factories import make_user


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--tables-only", action="store_true", help="only tests that touch tables")


@pytest.hookimpl(trylast=True)  # after the order was drawn
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--tables-only"):
        items[:] = filter(touches_tables, items)
    items.sort(key=turn)


def turn(item: pytest.Item) -> tuple[bool, int]:
    """The longest first: begun last, one process would wait for the other's.

    But what drives a browser after all others: it leaves an event loop running in its process,
    inside which nothing can be signed.
    """
    mark = item.get_closest_marker("long")
    return item.get_closest_marker("browser") is not None, -int(mark.args[0]) if mark else 0


def pytest_collection_finish() -> None:
    """What was imported and collected stays: no later search for garbage walks through it."""
    gc.freeze()


def touches_tables(item: pytest.Item) -> bool:
    fixtures: list[str] = getattr(item, "fixturenames", [])
    asks = {"db", "transactional_db"} & set(fixtures)
    return bool(asks) or item.get_closest_marker("django_db") is not None


@pytest.fixture(autouse=True)
def own_folders(settings: Settings, tmp_path: Path) -> None:
    """Files that a test writes go to its own folder; passwords hash fast."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.OUTBOX_DIR = tmp_path / "outbox"
    settings.TEXTS_DIR = tmp_path / "texts"
    memory = "django.core.cache.backends.locmem.LocMemCache"
    settings.CACHES = {"default": {"BACKEND": memory, "LOCATION": str(tmp_path)}}
    settings.KEYS_DIR = tmp_path / "keys"
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    settings.STORAGES = {**settings.STORAGES, "staticfiles": plain}
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def no_photograph_inside_a_transaction(monkeypatch: pytest.MonkeyPatch) -> None:
    """Decoding takes seconds, in which nobody else could write to SQLite."""
    cleaned = photos._cleaned  # noqa: SLF001  # all decoding goes through it

    def watched(*args: Any) -> photos.CleanPhoto:
        if any(not getattr(block, "_from_testcase", False) for block in connection.atomic_blocks):
            pytest.fail("A photograph is decoded inside a transaction.")
        return cleaned(*args)

    monkeypatch.setattr(photos, "_cleaned", watched)


@pytest.fixture(autouse=True)
def plain_english(settings: Settings) -> Iterator[None]:
    """Each test begins in English, whatever language a page before it was shown in."""
    with translation.override(settings.LANGUAGE_CODE):
        yield


@pytest.fixture
def sign_in(db: None) -> Callable[[str], Client]:
    """Return a function that gives a browser signed in as somebody of that role."""

    def client_of(role: str) -> Client:
        client = Client()
        client.force_login(make_user(role=role), backend="shared.signin.StaffBackend")
        return client

    return client_of


@pytest.fixture
def office(sign_in: Callable[[str], Client]) -> Client:
    return sign_in("office")


@pytest.fixture
def tech(sign_in: Callable[[str], Client]) -> Client:
    return sign_in("tech")


@pytest.fixture
def owner(sign_in: Callable[[str], Client]) -> Client:
    return sign_in("owner")
