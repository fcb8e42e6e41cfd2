"""The home was sold: a household or the office says so, both households confirm on their links."""

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import translation
from django.utils.timezone import now
from django.views.decorators.http import require_http_methods

from customers.actions import Said
from customers.forms import ConsentForm, HouseholdForm
from customers.links import link_token
from customers.models import HouseholdLink
from customers.views.links import for_household
from shared.refusals import Refused
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties import tasks
from warranties.actions import transferring
from warranties.forms.transfers import MoveForm, SoldForm
from warranties.models import Promise, TransferVoice


@for_household("transfer")
@require_http_methods(["GET", "HEAD", "POST"])
def transfer(request: HttpRequest, link: HouseholdLink) -> HttpResponseBase:
    """Show what goes to whom, to the two who must agree, and take their yes."""
    voice = _asked(link)
    with translation.override(link.household.language):
        return _answer(request, voice)


def _answer(request: HttpRequest, voice: TransferVoice) -> HttpResponse:
    refusal = ""
    shown = voice.transfer
    if request.method == "POST":
        try:
            shown = transferring.agree(transfer=shown, household=voice.household, at=now())
        except Refused as error:
            refusal = str(error)
        if shown.done_at and (made := shown.promise.certificates.current().first()):
            tasks.print_soon(made.pk)
        voice.refresh_from_db(fields=["agreed_at"])
    context = {"transfer": shown, "voice": voice, "refusal": refusal}
    return render(request, "warranties/transfer.html", context, status=422 if refusal else 200)


def _asked(link: HouseholdLink) -> TransferVoice:
    """Whose yes the link is for."""
    rows = TransferVoice.objects.select_related("household", "transfer__promise__home")
    return get_object_or_404(rows, link=link)


@for_household("my home")
@require_http_methods(["GET", "HEAD", "POST"])
def sold(request: HttpRequest, link: HouseholdLink, number: str) -> HttpResponseBase:
    """An owner whose promise it is says that the home was sold: that is its yes."""
    held = Promise.objects.standing().shown_to(link.household).select_related("home")
    promise = get_object_or_404(held, number=number)
    today = now().astimezone(promise.home.tz).date()
    with translation.override(link.household.language):
        form = SoldForm(request.POST or None, day=today)
        if form.is_valid():
            move = transferring.Move(
                form.household(), form.cleaned_data["on"], "old", link.household
            )
            try:
                transferring.start_with_new_household(
                    promise=promise, move=move, said=Said({}, "not asked"), at=now()
                )
            except Refused as error:
                form.add_error(None, str(error))
            else:
                return redirect("my-home", link_token(link))
        page = {"promise": promise, "form": form, "token": link_token(link)}
        status = 422 if form.is_bound else 200
        return render(request, "warranties/sold.html", page, status=status)


@allowed("promise")
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: StaffRequest, number: str) -> HttpResponseBase:
    """The office starts a transfer for a new household that called, or for the old one."""
    promise = get_object_or_404(Promise.objects.select_related("home", "holder"), number=number)
    given = request.POST or None
    move_form = MoveForm(given, day=now().astimezone(promise.home.tz).date())
    household_form = HouseholdForm(given, prefix="household")
    consent_form = ConsentForm(given, prefix="consent")
    if all(form.is_valid() for form in (move_form, household_form, consent_form)):
        move = transferring.Move(household_form.instance, **move_form.cleaned_data)
        try:
            transferring.start_with_new_household(
                promise=promise, move=move, said=consent_form.said(), at=now()
            )
        except Refused as error:
            move_form.add_error(None, str(error))
        else:
            return redirect(promise)
    page = {
        "promise": promise,
        "move_form": move_form,
        "household_form": household_form,
        "consent_form": consent_form,
    }
    status = 422 if move_form.is_bound else 200
    return render(request, "warranties/transfer_new.html", page, status=status)
