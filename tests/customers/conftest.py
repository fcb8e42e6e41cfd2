"""A home, bare and walked, for the tests of plans; noon for those that ask for it."""

from collections.abc import Iterator

import pytest
import time_machine

from customers.models import Home
from tests.customers.plan.houses import house
from tests.factories import NOON, make_home, make_plan


@pytest.fixture
def at_noon() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def home(db: None) -> Home:
    return make_home()


@pytest.fixture
def walked(home: Home) -> Home:
    make_plan(home=home, document=house())
    return home
