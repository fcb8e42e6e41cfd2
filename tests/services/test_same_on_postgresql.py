"""Every test that touches tables passes on PostgreSQL as it does on SQLite.

In a run of their own beside the others. Tests marked `any_database` are left out: what they are
about (paper, signatures, memory) hangs on no database, and others ask for the same tables.
"""

from collections.abc import Callable

import pytest

from tests.services.app import App
from tests.services.servers import Postgres

pytestmark = [pytest.mark.services, pytest.mark.long(200)]


def test_what_touches_tables_passes_on_postgresql(
    make_app: Callable[..., App], postgres: Postgres, redis_url: str
) -> None:
    app = make_app(DATABASE_URL=postgres.new_database(), REDIS_URL=redis_url)
    which = ["--tables-only", "-m", "not any_database", "tests"]
    which += ["--ignore=tests/services", "--ignore=tests/browser"]

    done = app.run("-m", "pytest", "-q", "-p", "no:cacheprovider", "-n", "0", *which)

    assert done.returncode == 0, done.stdout[-6000:]
    assert " passed" in done.stdout
