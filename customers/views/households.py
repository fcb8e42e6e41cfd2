"""Who holds a home, how they are reached, and when it changes hands."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localdate, now
from django.views.decorators.http import require_http_methods, require_POST

from customers import actions
from customers.forms import ConsentForm, HouseholdForm, OwnerForm
from customers.models import Home, Household, Ownership
from shared.answers import done
from shared.requests import StaffRequest
from shared.roles import allowed


def held(pk: int) -> tuple[Home, Household]:
    """Return the home and who holds it. Raises Http404 where there is no such home or nobody."""
    home = get_object_or_404(Home, pk=pk)
    household = home.household()
    if household is None:
        raise Http404("Nobody holds this home.")
    return home, household


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def household_change(request: StaffRequest, pk: int) -> HttpResponseBase:
    home, household = held(pk)
    form = HouseholdForm(request.POST or None, instance=household)
    if request.method == "POST" and form.is_valid():
        actions.change_household(household=form.instance)
        return redirect(home)
    status = 422 if request.method == "POST" else 200
    page = {"home": home, "form": form}
    return render(request, "customers/household_change.html", page, status=status)


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def owner_change(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Give the home to a new household: sold, inherited, let."""
    home = get_object_or_404(Home, pk=pk)
    return _owner_page(request, home, actions.change_owner, "customers/owner_change.html")


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def owner_add(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Enter another owner beside who holds the home."""
    return _owner_page(request, held(pk)[0], actions.add_owner, "customers/owner_add.html")


def _owner_page(
    request: StaffRequest, home: Home, enter: Callable[..., Ownership], template: str
) -> HttpResponseBase:
    """The forms of a new owner; a POST enters them by the action."""
    given = request.POST or None
    owner_form = OwnerForm(given, initial={"on": localdate(timezone=home.tz)})
    household_form = HouseholdForm(given, prefix="household")
    consent_form = ConsentForm(given, prefix="consent")

    def act() -> Ownership:
        household, on = household_form.instance, owner_form.cleaned_data["on"]
        return enter(home=home, household=household, said=consent_form.said(), on=on, at=now())

    both = household_form.is_valid() and consent_form.is_valid()
    if both and done(owner_form, act, at="on"):
        return redirect(home)
    page = {
        "home": home,
        "household": home.household(),
        "owner_form": owner_form,
        "household_form": household_form,
        "consent_form": consent_form,
    }
    status = 422 if request.method == "POST" else 200
    return render(request, template, page, status=status)


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def consent(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note what channels the household lets us use."""
    home, household = held(pk)
    said = dict(household.consents.values_list("channel", "given"))
    form = ConsentForm(request.POST or None, initial=said)
    if request.method == "POST" and form.is_valid():
        actions.record_consents(household=household, said=form.said(), at=now())
        messages.success(request, "Noted.")
        return redirect(home)
    page = {"home": home, "household": household, "form": form}
    status = 422 if request.method == "POST" else 200
    return render(request, "customers/consent.html", page, status=status)


@allowed("keep_homes")
@require_POST
def withdraw_paperless(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The household told us that it wants its papers on paper."""
    home, household = held(pk)
    actions.withdraw_paperless(household=household, how=f"Told {request.user}.", at=now())
    messages.success(request, "Noted: their papers go by letter from now on.")
    return redirect(home)
