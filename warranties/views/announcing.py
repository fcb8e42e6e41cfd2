"""Work at a home: what is announced, entered by us or by the household behind its link."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.utils.translation import gettext as _
from django.utils.translation import override
from django.views.decorators.http import require_http_methods, require_POST

from customers.links import link_token
from customers.models import Home, HouseholdLink
from customers.views.links import for_household
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties.actions import announcing
from warranties.forms.announcing import WorkForm
from warranties.models import Announced

ANNOUNCERS = ("fit", "keep_homes")


@allowed(*ANNOUNCERS)
@require_http_methods(["GET", "HEAD", "POST"])
def works(request: StaffRequest, pk: int) -> HttpResponseBase:
    """What is announced at a home, and a form for more."""
    home = get_object_or_404(Home, pk=pk)
    form = WorkForm(request.POST or None)
    if form.is_valid() and _announce(home, form, told_by="office", request=request):
        messages.success(request, _("Noted. A check follows a week after."))
        return redirect("works", home.pk)
    return _page(request, home, form)


@allowed(*ANNOUNCERS)
@require_POST
def drop(request: StaffRequest, pk: int) -> HttpResponseBase:
    announced = get_object_or_404(Announced, pk=pk)
    announcing.drop(announced=announced, at=now())
    messages.success(request, _("Dropped, and its check with it."))
    return redirect("works", announced.home_id)


@for_household("my home")
@require_http_methods(["GET", "HEAD", "POST"])
def tell(request: HttpRequest, link: HouseholdLink, pk: int) -> HttpResponseBase:
    """The household tells what is planned at one of its homes."""
    home = get_object_or_404(Home.objects.of(link.household, localdate()), pk=pk)
    with override(link.household.language):
        form = WorkForm(request.POST or None)
        if form.is_valid() and _announce(home, form, told_by="household"):
            return redirect("my-home-works", link_token(link), home.pk)
        return _page(request, home, form, link=link)


def _announce(
    home: Home, form: WorkForm, *, told_by: str, request: StaffRequest | None = None
) -> bool:
    """Note the work; where it is refused, the form says why."""
    at = now()
    try:
        announcing.announce(
            home=home,
            work=form.work(),
            told_by=told_by,
            today=at.astimezone(home.tz).date(),
            at=at,
            by=request.user if request else None,
        )
    except Refused as refusal:
        form.add_error("on", str(refusal))
        return False
    return True


def _page(
    request: HttpRequest, home: Home, form: WorkForm, *, link: HouseholdLink | None = None
) -> HttpResponse:
    """A household reads of the work that was announced before it came, but nobody's words."""
    known = Announced.objects.filter(home=home, dropped_at=None)
    announced = list(known.select_related("check_after"))
    if link:
        owned = home.ownerships.filter(household=link.household).latest("since")
        for each in announced:
            if each.told_at.astimezone(home.tz).date() < owned.since:
                each.note = ""
    token = link_token(link) if link else ""
    facts = {"home": home, "form": form, "announced": announced, "token": token}
    status = 422 if form.is_bound and form.errors else 200
    return render(request, "warranties/works.html", facts, status=status)
