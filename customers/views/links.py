"""Links for households: made and revoked by the office, opened by the household."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from customers.forms import LinkForm
from customers.links import HOUR, BadLink, TooManyGuesses, make_link, open_link, revoke_link
from customers.models import HouseholdLink
from customers.views.households import held
from shared.requests import StaffRequest
from shared.roles import allowed
from shared.signin import client_ip

P = ParamSpec("P")
TOO_MANY = 429  # RFC 6585


View = Callable[Concatenate[HttpRequest, HouseholdLink, P], HttpResponseBase]


def for_household(purpose: str) -> Callable[[View[P]], Callable[..., HttpResponseBase]]:
    """Let in whoever brings a link for that purpose: the view gets the link instead of its token.

    A link that does not open gets 404 in words, too many of them 429.
    """

    def guarded(view: View[P]) -> Callable[..., HttpResponseBase]:
        @never_cache
        @wraps(view)
        def wrapped(
            request: HttpRequest, token: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            try:
                link = open_link(token, now(), purpose=purpose, address=client_ip(request))
            except BadLink as reason:
                return no_entry(request, str(reason), 404)
            except TooManyGuesses as reason:
                return no_entry(request, str(reason), TOO_MANY)
            return view(request, link, *args, **kwargs)

        return cast(Any, wrapped)

    return guarded


def no_entry(request: HttpRequest, reason: str, status: int) -> HttpResponse:
    """Say why a link opens nothing; with 429, when to try again."""
    answer = render(request, "customers/no_entry.html", {"reason": reason}, status=status)
    if status == TOO_MANY:
        answer.headers["Retry-After"] = str(HOUR)
    return answer


@allowed("keep_homes")
@require_POST
def make(request: StaffRequest, pk: int) -> HttpResponseBase:
    home, household = held(pk)
    form = LinkForm(request.POST)
    if not form.is_valid():
        messages.error(request, "A link is good for 1 to 400 days.")
        return redirect(home)
    make_link(household=household, purpose="my home", at=now(), **form.cleaned_data)
    messages.success(request, "The new link stands under Links.")
    return redirect(home)


@allowed("keep_homes")
@require_POST
def revoke(request: StaffRequest, pk: int, link: int) -> HttpResponse:
    home, household = held(pk)
    revoke_link(link=get_object_or_404(household.links, pk=link), at=now())
    messages.success(request, "The link opens nothing any more.")
    return redirect(home)
