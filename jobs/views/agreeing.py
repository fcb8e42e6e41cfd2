"""The household agrees on line, behind its signed link."""

from datetime import date, datetime, timedelta
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone, translation
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers.actions import add_photo, give_paperless
from customers.links import link_token, make_link
from customers.models import HouseholdLink
from customers.paperless import told
from customers.views.links import for_household
from jobs.actions import filing, offering, showing
from jobs.forms.agreeing import OnlineAgreementForm, WaiverForm
from jobs.holds import COOLING_OFF_DAYS, business_day_after
from jobs.models import AgreedPaper, Offer
from jobs.views.jobs import find_job, page_of
from jobs.views.offers import find_offer
from shared.answers import done, pdf_answer, tried
from shared.models import User
from shared.photos import read_photo
from shared.requests import StaffRequest
from shared.roles import allowed


@allowed("sell")
@require_POST
def link(request: StaffRequest, number: str) -> HttpResponseBase:
    """Make the household's link to agree on line, good as long as the offer."""
    offer = find_offer(number)
    at = timezone.now()
    days = (offer.valid_until - at.astimezone(offer.job.home.tz).date()).days + 1
    if offer.state != "sent" or days < 1:
        messages.error(request, "Only an offer that is sent and still valid can be agreed to.")
        return redirect(offer)
    address = make_link(
        household=offer.job.household, purpose="offer", about=offer.job.number, at=at, days=days
    )
    messages.success(request, f"The household agrees at {address}")
    return redirect(offer)


@allowed("keep_firm")
@require_POST
def waive(request: StaffRequest, number: str) -> HttpResponseBase:
    """Keep the household's handwritten waiver of the cooling-off days: the owner decides it."""
    offer = find_offer(number)
    form = WaiverForm(request.POST, request.FILES)
    if done(form, lambda: _keep_waiver(offer, form, request.user)):
        messages.success(request, "The waiver is kept: the fitting can be booked now.")
        return redirect(offer.job)
    page = page_of(find_job(offer.job.number), waiver_form=form)
    return render(request, "jobs/job.html", page, status=422)


def _keep_waiver(offer: Offer, form: WaiverForm, by: User) -> None:
    home, note = offer.job.home, form.cleaned_data["note"]
    clean = read_photo(form.cleaned_data["photo"], zone=home.tz)
    with transaction.atomic():
        photo = add_photo(home=home, clean=clean, caption=note, by=by)
        offering.waive_cooling_off(offer=offer, photo=photo, note=note, by=by, at=timezone.now())


@require_http_methods(["GET", "HEAD", "POST"])
@for_household("offer")
def agree(request: HttpRequest, link: HouseholdLink) -> HttpResponse:
    """The offer of the job that the link was sent for; a POST agrees to it.

    Where an offer was replaced meanwhile, the link shows the one that took its place.
    """
    offers = _offers_of(link).prefetch_related("lines").order_by("-made_on", "-pk")
    posted = request.method == "POST"
    number = request.POST.get("offer", "")
    offer = _of_number(offers, number) if posted else offers.first()
    with translation.override(link.household.language):
        if offer is None:
            page = {"gone": posted and offers.exists()}
            return render(request, "jobs/agree_none.html", page, status=409 if posted else 200)
        with timezone.override(offer.job.home.tz), translation.override(offer.language):
            return _answer(request, link, offer)


@require_GET
@for_household("offer")
def agree_paper(request: HttpRequest, link: HouseholdLink) -> HttpResponse:
    """The offer as PDF: once it is agreed to, the very file that is kept."""
    offer = get_object_or_404(_offers_of(link), number=request.GET.get("offer", ""))
    if agreed := AgreedPaper.objects.filter(offer=offer).first():
        data = filing.kept_bytes(filing.print_out(paper=agreed))
    else:
        data = showing.shown_pdf(offer=offer, at=timezone.now())
    return pdf_answer(data, f"{offer.number}.pdf")


def _offers_of(link: HouseholdLink) -> QuerySet[Offer]:
    """The offers that were sent for the job that the link is about."""
    offers = Offer.objects.filter(job__number=link.about, job__household=link.household)
    return offers.filter(state__in=("sent", "agreed")).select_related("job__home", "job__household")


def _of_number(offers: QuerySet[Offer], number: str) -> Offer | None:
    """The offer that the household read, or None where it is replaced: never another one."""
    return next((offer for offer in offers if offer.number == number), None)


def _answer(request: HttpRequest, link: HouseholdLink, offer: Offer) -> HttpResponse:
    at = timezone.now()
    if offer.state == "sent" and "paper" in request.POST:
        tried(request, lambda: offering.ask_for_paper(offer=offer, at=at))
        return redirect("offer-agree", token=link_token(link))
    files = link.household.paperless.standing().exists()
    form = OnlineAgreementForm(request.POST or None, files=files)
    sent = offer.state == "sent"
    if sent and done(form, lambda: _take_yes(offer, form, at)):
        return redirect("offer-agree", token=link_token(link))
    page = {**_shown(link, offer, at), "form": form}
    return render(request, "jobs/agree.html", page, status=422 if sent and form.is_bound else 200)


@transaction.atomic
def _take_yes(offer: Offer, form: OnlineAgreementForm, at: datetime) -> None:
    """Keep the agreement, and with it that they take its papers as files."""
    offering.agree(offer=offer, agreement=form.agreement(at))
    if "code" in form.fields:
        give_paperless(
            household=offer.job.household,
            language=offer.language,
            by=form.cleaned_data["by"],
            shown_how=f"Typed the code that stands in the PDF of offer {offer.number}.",
            at=at,
        )


def _shown(link: HouseholdLink, offer: Offer, at: datetime) -> dict[str, Any]:
    """What the page shows of the offer, or of the agreement that it became."""
    agreed = AgreedPaper.objects.filter(offer=offer).first()
    shown = None if agreed else showing.show(offer=offer, at=at)
    return {
        "offer": offer,
        "job": offer.job,
        "totals": offer.totals(),
        "token": link_token(link),
        "told": told(offer.language),
        "facts": agreed.record if agreed else shown and shown.facts,
        "proof": shown and showing.showing_token(shown, at),
        "signed_on": timezone.localdate(offer.agreed_at or at),
        "cancel_until": _last_day(offer, timezone.localdate(at)),
    }


def _last_day(offer: Offer, today: date) -> date:
    """The last day on which the household may cancel, if it agreed or agrees today."""
    if offer.cooling_off_ends_at:
        return timezone.localdate(offer.cooling_off_ends_at) - timedelta(days=1)
    return business_day_after(max(today, offer.paper_sign_by or today), COOLING_OFF_DAYS)
