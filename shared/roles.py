"""Who may do what: three roles as Django groups, each a set of our own permissions.

The table in DEVELOPERS.md is this one in words; tests/test_access.py walks every address.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django.apps import AppConfig
from django.contrib.auth.decorators import login_required
from django.contrib.auth.management import create_permissions
from django.contrib.auth.models import Group, Permission
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from shared.requests import StaffRequest

OFFICE = ("see_homes", "keep_homes", "sell", "book", "decide", "promise", "notify")
TECH = ("see_homes", "fit", "decide")
OWNER = (*OFFICE, "fit", "see_ledger", "keep_firm")
ROLES: dict[str, tuple[str, ...]] = {"office": OFFICE, "tech": TECH, "owner": OWNER}

P = ParamSpec("P")
View = Callable[Concatenate[StaffRequest, P], HttpResponseBase]
Guarded = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


def allowed(*codes: str) -> Callable[[View[P]], Guarded[P]]:
    """Let in only people who hold one of these permissions of ours; others get 403."""

    def decorate(view: View[P]) -> Guarded[P]:
        @wraps(view)
        def wrapped(request: StaffRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not any(request.user.has_perm(f"shared.{code}") for code in codes):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        guarded = cast(Guarded[P], login_required(wrapped))
        guarded.allowed = codes  # type: ignore[attr-defined]  # read by the test that walks every URL
        return guarded

    return decorate


def fill_groups(*, app_config: AppConfig, **_: Any) -> None:
    """Make the groups hold exactly their permissions. Runs after every migrate."""
    create_permissions(app_config, verbosity=0)  # its own handler may not have run yet
    for role, codes in ROLES.items():
        group, _created = Group.objects.get_or_create(name=role)
        group.permissions.set(
            Permission.objects.filter(content_type__app_label="shared", codename__in=codes)
        )
