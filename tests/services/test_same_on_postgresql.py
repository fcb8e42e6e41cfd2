"""Every test that touches tables passes on PostgreSQL as it does on SQLite."""

from collections.abc import Callable

import pytest

from tests.services.app import App
from tests.services.servers import Postgres

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]


def test_what_touches_tables_passes_on_postgresql(
    make_app: Callable[..., App], postgres: Postgres, redis_url: str
) -> None:
    app = make_app(DATABASE_URL=postgres.new_database(), REDIS_URL=redis_url)
    which = ["-m", "not services and not browser", "--tables-only"]

    done = app.run("-m", "pytest", "-q", "-p", "no:cacheprovider", "-n", "0", *which, "tests")

    assert done.returncode == 0, done.stdout[-6000:]
    assert " passed" in done.stdout
