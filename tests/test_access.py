"""Every address with every role and with nobody signed in, as shared/roles.py says."""

from collections.abc import Callable, Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from shared.roles import ROLES

# Addresses of ours that need no role, each with its reason.
OPEN = {
    "check": "the code on a certificate leads strangers there",
    "check-any": "asks a stranger for a number",
    "offer-agree": "opened by a household's signed link",
    "certificate-schema": "tells a program how to read a certificate",
    "offer-agree-paper": "fetched behind a household's signed link",
    "check-file": "tells a stranger whether a file is ours",
    "transfer": "opened by a signed link",
    "start": "sends each to their own first page",
    "my-home": "opened by a household's signed link",
    "my-home-answer": "answered behind a household's signed link",
    "my-home-photo": "sent behind a household's signed link",
    "my-home-sold": "said behind a household's signed link",
    "my-home-paper": "said behind a household's signed link",
    "my-home-works": "said behind a household's signed link",
    "my-home-mails": "said behind a household's signed link",
    "my-home-certificate": "fetched behind a household's signed link",
    "text-incoming": "the text gateway posts here with a shared secret",
    "unsubscribe": "mail programs post here, with a signed token alone",
    "health": "asked by the machine that watches ours",
}
LIBRARIES = ("account/", "accounts-desk/")  # guarded by their own rules and tests
SAMPLES = {"int": "1", "slug": "x", "str": "x", "uuid": "0" * 32, "path": "x"}


def addresses() -> Iterator[tuple[str, URLPattern]]:
    """Each address of ours, with a stand-in for every part that varies."""

    def walk(
        patterns: list[URLPattern | URLResolver], prefix: str
    ) -> Iterator[tuple[str, URLPattern]]:
        for each in patterns:
            route = prefix + str(each.pattern)
            if isinstance(each, URLResolver):
                yield from walk(each.url_patterns, route)
            else:
                yield route, each

    for route, pattern in walk(get_resolver().url_patterns, ""):
        if not route.startswith(LIBRARIES):
            yield route, pattern


def filled(route: str, pattern: URLPattern) -> str:
    for name, converter in pattern.pattern.converters.items():
        kind = type(converter).__name__.removesuffix("Converter").lower()
        value = SAMPLES.get("str" if kind == "string" else kind, "1")
        route = route.replace(f"<{kind}:{name}>", value).replace(f"<str:{name}>", value)
        route = route.replace(f"<{name}>", value)
    return f"/{route}"


GUARDED = [(r, p) for r, p in addresses() if p.name not in OPEN]


def test_every_address_is_guarded_or_open_for_a_reason() -> None:
    assert [r for r, p in GUARDED if not getattr(p.callback, "allowed", None)] == []
    assert set(OPEN) <= {p.name for _, p in addresses()}


@pytest.mark.parametrize(("route", "pattern"), GUARDED, ids=[p.name or r for r, p in GUARDED])
def test_lets_in_only_the_roles_that_may(
    route: str, pattern: URLPattern, sign_in: Callable[[str], Client]
) -> None:
    address = filled(route, pattern)

    stranger = Client().get(address)
    inside = {role for role in ROLES if sign_in(role).get(address).status_code != 403}

    assert stranger.status_code == 302
    assert stranger.headers["Location"].startswith("/account/login/")
    assert inside == {
        role
        for role, codes in ROLES.items()
        if set(codes) & set(getattr(pattern.callback, "allowed", ()))
    }
