"""Real servers for the tests that need them: PostgreSQL, Redis, a mail server.

Each is a throwaway on a private loopback port, started once for a session and stopped by the
handle that started it. Give each test file here
    pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]
so that one pytest process runs them all and the servers are started once.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.services.app import SQLITE, App, installation
from tests.services.notices import Stubborn, stop_consoles
from tests.services.servers import MailServer, Postgres, postgres_server, redis_server


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    with postgres_server() as server:
        yield server


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    with redis_server() as url:
        yield url


@pytest.fixture(scope="session")
def mail_server() -> Iterator[MailServer]:
    with MailServer() as server:
        yield server


@pytest.fixture
def mails(mail_server: MailServer) -> MailServer:
    """The mail server, emptied: mails.received lists the messages, mails.wait_for(n) waits."""
    mail_server.received.clear()
    return mail_server


@pytest.fixture
def stubborn(mails: MailServer, monkeypatch: pytest.MonkeyPatch) -> Stubborn:
    stubborn = Stubborn(mails)
    monkeypatch.setattr(mails, "handle_DATA", stubborn.handle)
    return stubborn


@pytest.fixture(autouse=True)
def consoles() -> Iterator[None]:
    """Stop the consoles of a test with it."""
    yield
    stop_consoles()


@pytest.fixture
def make_app(tmp_path: Path) -> Callable[..., App]:
    """Return a function that gives an installation: make_app("a", DATABASE_URL=..., ...)."""
    return lambda name="app", **environment: installation(tmp_path / name, **environment)


@pytest.fixture(scope="session")
def migrated(postgres: Postgres, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the name of a database on PostgreSQL with all tables and no rows."""
    url = postgres.new_database()
    app = installation(tmp_path_factory.mktemp("migrated") / "var", DATABASE_URL=url)
    app.manage("migrate", "--verbosity", "0")
    return url.rpartition("/")[2]


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a SQLite file with all tables and no rows: to be copied, for making it takes long."""
    app = installation(tmp_path_factory.mktemp("migrated") / "var")
    app.manage("migrate", "--verbosity", "0")
    return Path(app.environment["VAR_DIR"]) / SQLITE


@pytest.fixture
def real_parts(
    postgres: Postgres, migrated: str, redis_url: str, mail_server: MailServer
) -> dict[str, str]:
    """The settings that point to a new database with all tables and to the real servers."""
    return {
        "DATABASE_URL": postgres.new_database(template=migrated),
        "REDIS_URL": redis_url,
        "EMAIL_URL": mail_server.url,
    }


@pytest.fixture
def app(make_app: Callable[..., App], real_parts: dict[str, str]) -> App:
    """An installation on PostgreSQL, Redis and the mail server; commands run in it."""
    return make_app(**real_parts)
