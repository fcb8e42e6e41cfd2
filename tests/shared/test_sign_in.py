"""Signing in: the right password, the wrong one too often, a second factor, strangers."""

import pytest
from django.contrib.auth import get_user_model
from django.core.cache import cache
from django.test import Client, RequestFactory
from pytest_django import Settings

from shared.signin import client_ip
from tests.factories import make_user

PASSWORD = "a ring without a gap"  # noqa: S105  # of the test's own people


@pytest.fixture(autouse=True)
def fresh_counts() -> None:
    cache.clear()


def try_password(client: Client, password: str) -> int:
    answer = client.post("/account/login/", {"login": "office", "password": password})
    return answer.status_code


def test_signs_in_and_the_page_is_private(client: Client, db: None) -> None:
    make_user(role="office")

    assert try_password(client, PASSWORD) == 302
    page = client.get("/account/logout/")
    assert (
        page.headers["Cache-Control"] == "private, no-store" or "no-store" in page["Cache-Control"]
    )


def test_gives_a_new_session_at_sign_in(client: Client, db: None, settings: Settings) -> None:
    make_user(role="office")
    client.get("/account/login/")
    client.session["x"] = 1
    before = client.session.session_key

    try_password(client, PASSWORD)

    assert client.session.session_key != before


def test_locks_the_name_after_ten_wrong_passwords(
    client: Client, db: None, settings: Settings
) -> None:
    settings.ACCOUNT_RATE_LIMITS = False  # so that the lock of django-axes is what is tried
    make_user(role="office")

    for _ in range(10):
        try_password(client, "not this one at all")

    answer = client.post("/account/login/", {"login": "office", "password": PASSWORD})

    assert answer.status_code == 429
    assert "Too many tries" in answer.content.decode()


def test_slows_down_guessing_from_one_address(client: Client, db: None) -> None:
    answers = [
        client.post("/account/login/", {"login": f"nobody{n}", "password": "no"}) for n in range(40)
    ]

    assert answers[-1].status_code == 429
    assert "Too many tries" in answers[-1].content.decode()


def test_the_accounts_desk_has_no_sign_in_of_its_own(client: Client, db: None) -> None:
    answer = client.post("/accounts-desk/login/", {"username": "owner", "password": PASSWORD})

    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/account/login/?next=")


def test_a_form_without_its_token_is_refused_in_our_own_words(db: None) -> None:
    client = Client(enforce_csrf_checks=True)

    answer = client.post("/account/login/", {"login": "office", "password": PASSWORD})

    assert answer.status_code == 403
    assert "That did not get through" in answer.content.decode()


def test_a_stranger_cannot_sign_up(client: Client, db: None) -> None:
    form = {
        "username": "new",
        "email": "new@example.com",
        "password1": PASSWORD,
        "password2": PASSWORD,
    }

    client.post("/account/signup/", form)

    assert not get_user_model().objects.filter(username="new").exists()


def test_offers_codes_and_passkeys(office: Client) -> None:
    page = office.get("/account/mfa/").content.decode()

    assert "/account/mfa/totp/activate/" in page
    assert "/account/mfa/webauthn/add/" in page


def test_passwords_are_kept_as_argon2(db: None, settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]

    somebody = make_user(role="tech", username="argon")

    # ASVS 5.0 appendix C: argon2id, t=2 with at least 19,456 KiB (ours: 102,400 KiB).
    assert somebody.password.startswith("argon2$argon2id$v=19$m=102400,t=2,p=8$")


def test_pages_carry_a_strict_policy(client: Client, db: None) -> None:
    page = client.get("/account/login/")

    policy = page.headers["Content-Security-Policy"]
    assert "unsafe-inline" not in policy
    assert "object-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert page.headers["X-Content-Type-Options"] == "nosniff"
    assert " style=" not in page.content.decode()


def test_believes_only_our_own_proxies(rf: RequestFactory, settings: Settings) -> None:
    request = rf.get("/", REMOTE_ADDR="127.0.0.1", HTTP_X_FORWARDED_FOR="203.0.113.9, 198.51.100.7")

    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 0
    assert client_ip(request) == "127.0.0.1"
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1
    assert client_ip(request) == "198.51.100.7"
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 3
    assert client_ip(request) == "127.0.0.1"
