"""The list of homes, the home sheet, and entering a new home."""

from django.db.models import Prefetch
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_http_methods

from customers import actions, drawn
from customers.actions import Said
from customers.finding import homes_found, neighbourhoods
from customers.forms import ConsentForm, FindForm, HomeForm, HouseholdForm
from customers.models import Home, Ownership
from customers.story import story
from customers.tables import HomeTable
from customers.views.households import held
from shared.answers import made
from shared.paging import COUNTED, capped_count, keyset_page
from shared.requests import StaffRequest
from shared.roles import allowed

FOUND = 100  # as far as hits are counted: who sees more adds a word


@allowed("see_homes")
@require_GET
def homes(request: StaffRequest) -> HttpResponseBase:
    """The homes by street; found by words, filtered by neighbourhood. One hit opens its sheet."""
    asked = FindForm(request.GET)
    if not asked.is_valid():
        return redirect("homes")
    wanted = asked.cleaned_data
    found = homes_found(wanted["find"])
    if part := wanted["neighbourhood"]:
        found = found.filter(neighbourhood=part)
    page = keyset_page(
        found.with_household(),
        order=("place", "pk"),
        kept_as="street_order",
        after=wanted["after"],
        before=wanted["before"],
    )
    if wanted["find"] and page.is_whole and len(page.rows) == 1:
        return redirect(page.rows[0])
    return render(
        request,
        "customers/homes.html",
        {
            "table": HomeTable(page.rows),
            "page": page,
            "count": capped_count(found, FOUND if wanted["find"] else COUNTED),
            "neighbourhoods": neighbourhoods(),
            **wanted,
        },
    )


@allowed("see_homes")
@require_GET
def home(request: StaffRequest, pk: int) -> HttpResponse:
    """The home sheet: plan left, story right."""
    owners = Prefetch("ownerships", Ownership.objects.select_related("household"))
    shown = get_object_or_404(Home.objects.prefetch_related(owners), pk=pk)
    household, at = shown.household(), now()
    return render(
        request,
        "customers/home.html",
        {
            "home": shown,
            "household": household,
            "consents": household.consents.order_by("pk") if household else [],
            "paperless": household.paperless.all() if household else [],
            "links": household.links.order_by("-created_at") if household else [],
            "others": shown.owners()[1:],
            "former": [each for each in shown.ownerships.all() if each.until],
            "story": story(shown),
            **drawn.ring_facts(shown, on=at.astimezone(shown.tz).date()),
            "at": at,
        },
    )


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def home_change(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Correct a home's address, time zone or what one should know on site."""
    shown = get_object_or_404(Home, pk=pk)
    form = HomeForm(request.POST or None, instance=shown)
    if changed := made(form, lambda: actions.change_home(home=form.instance), at="street"):
        return redirect(changed)
    status = 422 if request.method == "POST" else 200
    page = {"form": form, "home": Home.objects.get(pk=pk)}
    return render(request, "customers/home_change.html", page, status=status)


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def home_another(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Enter another home of the household that holds this one."""
    shown, household = held(pk)
    form = HomeForm(request.POST or None)
    known = None
    if request.method == "POST" and form.is_valid():
        try:
            entered = actions.open_home(
                household=household, home=form.instance, said=Said({}, "known"), at=now()
            )
        except actions.HomeKnown as error:
            form.add_error("street", str(error))
            known = error.home
        else:
            return redirect(entered)
    status = 422 if request.method == "POST" else 200
    page = {"home": shown, "household": household, "form": form, "known": known}
    return render(request, "customers/home_another.html", page, status=status)


@allowed("keep_homes")
@require_http_methods(["GET", "HEAD", "POST"])
def home_new(request: StaffRequest) -> HttpResponseBase:
    """Enter a household and its home."""
    given = request.POST or None
    home_form = HomeForm(given, prefix="home")
    household_form = HouseholdForm(given, prefix="household")
    consent_form = ConsentForm(given, prefix="consent")
    forms = (home_form, household_form, consent_form)
    known = None
    if all(form.is_valid() for form in forms):
        try:
            entered = actions.open_home(
                household=household_form.instance,
                home=home_form.instance,
                said=consent_form.said(),
                at=now(),
            )
        except actions.HomeKnown as error:
            home_form.add_error("street", str(error))
            known = error.home
        else:
            return redirect(entered)
    status = 422 if request.method == "POST" else 200
    page = {
        "home_form": home_form,
        "household_form": household_form,
        "consent_form": consent_form,
        "known": known,
    }
    return render(request, "customers/home_new.html", page, status=status)
