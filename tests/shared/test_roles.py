from django.test import Client

from shared.roles import ROLES
from tests.factories import make_user


def test_each_role_holds_its_permissions_and_no_more(db: None) -> None:
    for role, codes in ROLES.items():
        held = {code.removeprefix("shared.") for code in make_user(role=role).get_all_permissions()}

        assert held == set(codes)


def test_the_front_door_asks_a_stranger_to_sign_in(client: Client, db: None) -> None:
    assert client.get("/").headers["Location"].startswith("/account/login/")


def test_health_answers(client: Client, db: None) -> None:
    assert client.get("/health/").content == b"ok\n"
