"""An offer: its lines, its way to the household and back."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone, translation
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import filing, offering, showing
from jobs.forms.offering import AgreementForm, OfferForm, line_formset
from jobs.holds import COOLING_OFF_DAYS, business_day_after
from jobs.models import AgreedPaper, Offer
from jobs.models.offer import OPEN
from jobs.readingoff import ReadOff, read_off
from jobs.views.jobs import find_job
from shared.answers import done, pdf_answer, tried
from shared.refusals import Refused
from shared.requests import StaffRequest, day_asked
from shared.roles import allowed

READ_OFF = {"fitting", "extension", "repair"}


def find_offer(number: str) -> Offer:
    offers = Offer.objects.select_related("job__home", "job__household", "book")
    return get_object_or_404(offers.prefetch_related("lines"), number=number)


@allowed("sell")
@require_POST
def new(request: StaffRequest, number: str) -> HttpResponse:
    """Draft an offer; its lines are read off the plan, for the office to look over."""
    job = find_job(number)
    on = timezone.localdate(timezone=job.home.tz)
    found = read_off(job.home, on=on) if job.kind in READ_OFF else ReadOff()
    lines = [offering.Line(code, quantity) for code, quantity in found.lines]
    try:
        offer = offering.make_offer(job=job, lines=lines, on=on)
    except Refused as refusal:
        messages.error(request, str(refusal))
        return redirect(job)
    if lines:
        messages.success(request, "The lines are read off the plan: look them over.")
    for remark in found.remarks:
        messages.warning(request, remark)
    return redirect(offer)


@allowed("sell")
@require_http_methods(["GET", "POST"])
def offer(request: StaffRequest, number: str) -> HttpResponse:
    """Show the offer; a POST writes the lines of a draft anew."""
    offer = find_offer(number)
    with timezone.override(offer.job.home.tz):
        if request.method == "POST":
            return _save(request, offer)
        return render(request, "jobs/offer.html", page_of(offer))


def page_of(offer: Offer, **changed: Any) -> dict[str, Any]:
    draft = offer.state == "draft"
    form = OfferForm(
        initial={
            "deposit": offer.deposit,
            "valid_until": offer.valid_until,
            "note": offer.note,
            "language": offer.language,
        }
    )
    return {
        "offer": offer,
        "job": offer.job,
        "totals": offer.totals(),
        "lines": line_formset(offer) if draft else None,
        "offer_form": form if draft else None,
        "agreement_form": AgreementForm(
            initial={"by": offer.job.household.name, "agreed_at": timezone.localtime()}
        ),
        "agreed_paper": _agreed_paper(offer),
        "can_be_agreed": offer.state in OPEN,
        **changed,
    }


def _agreed_paper(offer: Offer) -> dict[str, Any] | None:
    """The paper of the agreement and whether its file is still the one that was kept."""
    paper = AgreedPaper.objects.select_related("offer").filter(offer=offer).first()
    if paper is None:
        return None
    return {"paper": paper, "whole": bool(paper.sha256) and filing.is_whole(paper)}


def _save(request: StaffRequest, offer: Offer) -> HttpResponse:
    lines, form = line_formset(offer, request.POST), OfferForm(request.POST)
    if lines.is_valid() and done(
        form,
        lambda: offering.change_lines(offer=offer, lines=lines.lines(), **form.cleaned_data),
    ):
        messages.success(request, "The lines are saved.")
        return redirect(offer)
    page = page_of(offer, lines=lines, offer_form=form)
    return render(request, "jobs/offer.html", page, status=422)


@allowed("sell")
@require_POST
def send(request: StaffRequest, number: str) -> HttpResponse:
    offer, said = find_offer(number), f"Offer {number} is sent."
    tried(request, lambda: offering.send(offer=offer, at=timezone.now()), said=said)
    return redirect(offer)


@allowed("sell")
@require_POST
def decline(request: StaffRequest, number: str) -> HttpResponse:
    offer, said = find_offer(number), f"Offer {number} is declined."
    tried(request, lambda: offering.decline(offer=offer), said=said)
    return redirect(offer)


@allowed("sell")
@require_POST
def replace(request: StaffRequest, number: str) -> HttpResponse:
    offer = find_offer(number)
    try:
        fresh = offering.replace(offer=offer, on=timezone.localdate(timezone=offer.job.home.tz))
    except Refused as refusal:
        messages.error(request, str(refusal))
        return redirect(offer)
    messages.success(request, f"Offer {fresh.number} takes the place of {offer.number}.")
    return redirect(fresh)


@allowed("sell")
@require_POST
def agree(request: StaffRequest, number: str) -> HttpResponse:
    offer = find_offer(number)
    with timezone.override(offer.job.home.tz):
        form = AgreementForm(request.POST)
        if done(form, lambda: offering.agree(offer=offer, agreement=form.agreement())):
            messages.success(request, f"Offer {offer.number} is agreed.")
            return redirect(offer.job)
        page = page_of(offer, agreement_form=form)
        return render(request, "jobs/offer.html", page, status=422)


@allowed("sell")
@require_GET
def paper(request: StaffRequest, number: str) -> HttpResponse:
    """The offer to print and sign, with the notice of cancellation in duplicate."""
    offer = find_offer(number)
    signed_on = _signing_day(request, offer)
    page = {
        "offer": offer,
        "job": offer.job,
        "totals": offer.totals(),
        "signed_on": signed_on,
        "cancel_until": business_day_after(signed_on, COOLING_OFF_DAYS),
        "code": showing.show(offer=offer, at=timezone.now()).code,
    }
    with translation.override(offer.language):
        return render(request, "jobs/offer_paper.html", page)


@allowed("sell")
@require_GET
def pdf(_request: StaffRequest, number: str) -> HttpResponse:
    """The offer's PDF as it is now, as the household gets it on line: its code to compare."""
    offer = find_offer(number)
    with translation.override(offer.language):
        data = showing.shown_pdf(offer=offer, at=timezone.now())
    return pdf_answer(data, f"{number}.pdf")


@allowed("sell")
@require_GET
def agreed_paper(_request: StaffRequest, number: str) -> HttpResponse:
    """The PDF that the household agreed to, printed now where it was not yet."""
    paper = get_object_or_404(AgreedPaper.objects.select_related("offer"), offer__number=number)
    return pdf_answer(filing.kept_bytes(filing.print_out(paper=paper)), f"{number}.pdf")


def _signing_day(request: StaffRequest, offer: Offer) -> date:
    """The day of the agreement; before it the day asked for, else today."""
    zone = offer.job.home.tz
    if offer.agreed_at:
        return timezone.localdate(offer.agreed_at, zone)
    return day_asked(request.GET.get("signed", "")) or timezone.localdate(timezone=zone)
