"""A household confirms on its own signed link that the promise goes with the home."""

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import translation
from django.utils.timezone import now
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from customers.links import BadLink, TooManyGuesses, open_link
from customers.models import HouseholdLink
from jobs.actions import Refused
from shared.requests import StaffRequest
from shared.signin import client_ip
from warranties import tasks
from warranties.actions import transferring
from warranties.models import Transfer


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def transfer(request: StaffRequest, token: str) -> HttpResponseBase:
    """Show what goes to whom, to the two who must agree, and take their yes."""
    try:
        link = open_link(token, now(), client_ip(request))
        shown, side = _asked(link)
    except (BadLink, TooManyGuesses) as reason:
        status = 429 if isinstance(reason, TooManyGuesses) else 404
        return render(request, "customers/no_entry.html", {"reason": reason}, status=status)
    with translation.override(link.household.language):
        return _answer(request, shown, side)


def _answer(request: StaffRequest, shown: Transfer, side: transferring.Side) -> HttpResponse:
    refusal = ""
    if request.method == "POST":
        try:
            shown = transferring.agree(transfer=shown, side=side, at=now())
        except Refused as error:
            refusal = str(error)
        if shown.done_at and (made := shown.promise.certificates.current().first()):
            tasks.print_soon(made.pk)
    agreed = shown.old_agreed_at if side == "old" else shown.new_agreed_at
    context = {"transfer": shown, "side": side, "agreed": agreed, "refusal": refusal}
    return render(request, "warranties/transfer.html", context, status=422 if refusal else 200)


def _asked(link: HouseholdLink) -> tuple[Transfer, transferring.Side]:
    """The transfer that a link is for, and whose side it is. Raises Http404 for other links."""
    found = Transfer.objects.select_related("promise__home", "promise__holder", "old", "new")
    if shown := found.filter(old_link=link).first():
        return shown, "old"
    if shown := found.filter(new_link=link).first():
        return shown, "new"
    raise Http404("This link is for something else.")
