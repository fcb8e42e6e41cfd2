"""What a household sees behind its link, and the answers it gives there.

Mail scanners follow every link they find, so a GET answers nothing: it shows one big button. That
it was opened is noted, for want of anything better that does not spy.
"""

from datetime import datetime

from django.conf import settings
from django.core.files.base import ContentFile
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.timezone import localdate, now
from django.utils.translation import override
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.actions import record_consent, withdraw_paperless
from customers.links import link_token
from customers.models import Home, HouseholdLink
from customers.views.links import for_household
from shared.firm import the_firm
from shared.photos import NotAPhoto, read_photo
from warranties import trimming
from warranties.actions import answering, seeing
from warranties.homes import home_page
from warranties.models import Certificate, Notice, Promise

ANSWERS_TO = {"trim-back": ("done", "help"), "seal-check": ("help",), "recall": ("help",)}
ANSWERS = {"done": answering.say_done, "help": answering.say_help}


@for_household("my home")
@require_safe
def my_home(request: HttpRequest, link: HouseholdLink) -> HttpResponse:
    """The homes of the household, what to cut and by when, the papers, how to get help."""
    household = link.household
    at = now()
    _note_seen(request, link, at)
    homes = Home.objects.of(household, at.date()).distinct().order_by("pk")
    pages = [home_page(home, household, today=at.astimezone(home.tz).date()) for home in homes]
    by_mail = household.consents.filter(channel="mail", given=True).exists()
    page: dict[str, object] = {
        "pages": pages,
        "said": request.GET.get("said", ""),
        "cut": _cut(link, request.GET.get("of", "")),
        "by_mail": by_mail and bool(household.mail),
        "files": household.paperless.standing().first(),
        "firm_phone": the_firm().phone_shown,
    }
    return _shown(request, link, "my_home", page)


@for_household("my home")
@require_http_methods(["GET", "HEAD", "POST"])
def answer(request: HttpRequest, link: HouseholdLink, pk: int, said: str) -> HttpResponseBase:
    """Answer a notice: the page asks once, the button answers."""
    notice = get_object_or_404(_mine(link), pk=pk)
    if said not in ANSWERS_TO[notice.kind]:
        raise Http404
    _note_seen(request, link, now())
    if request.method == "POST":
        ANSWERS[said](notice=notice, at=now())
        return redirect(f"{_address(link)}?said={said}&of={pk}")
    return _asked(request, link, notice, said)


@for_household("my home")
@require_POST
def photo(request: HttpRequest, link: HouseholdLink, pk: int) -> HttpResponseBase:
    """A photograph of what was cut, for who likes to show it."""
    notice = get_object_or_404(_mine(link), pk=pk)
    upload = request.FILES.get("photo") or ContentFile(b"")
    try:
        answering.show_done(notice=notice, clean=read_photo(upload, zone=notice.home.tz))
    except NotAPhoto:
        return _asked(request, link, notice, "done", unreadable=True)
    return redirect(f"{_address(link)}?said=shown")


def _mine(link: HouseholdLink) -> QuerySet[Notice]:
    """What the household may answer: a home that was sold is no longer theirs."""
    homes = Home.objects.of(link.household, localdate())
    mine = Notice.objects.filter(household=link.household, home__in=homes, kind__in=ANSWERS_TO)
    return mine.select_related("plant", "home")


def _cut(link: HouseholdLink, key: str) -> Notice | None:
    """The notice that was just answered with "done", where a photograph may still follow."""
    notice = _mine(link).filter(pk=key).first() if key.isascii() and key.isdigit() else None
    return notice if notice and answering.unseen_cut(notice) else None


def _asked(
    request: HttpRequest,
    link: HouseholdLink,
    notice: Notice,
    said: str,
    *,
    unreadable: bool = False,
) -> HttpResponse:
    """The page of one answer."""
    plant = notice.plant
    page: dict[str, object] = {"notice": notice, "plant": plant, "said": said}
    page |= {"unreadable": unreadable, "cut": _cut(link, str(notice.pk))}
    if plant:
        units, language = settings.FIRM_UNITS, link.household.language
        page["clear"] = trimming.clear_words(plant.needs_mm, units=units, language=language)
    shown = _shown(request, link, "answer", page)
    shown.status_code = 422 if unreadable else 200
    return shown


@for_household("my home")
@require_POST
def mails(request: HttpRequest, link: HouseholdLink) -> HttpResponseBase:
    """Have our mails, or have them no more."""
    given = request.POST.get("mails") == "yes"
    record_consent(
        household=link.household, channel="mail", given=given, how="said on my home", at=now()
    )
    return redirect("my-home", link_token(link))


@for_household("my home")
@require_POST
def on_paper(_request: HttpRequest, link: HouseholdLink) -> HttpResponseBase:
    """Take papers that the law wants in writing on paper again (15 USC 7001(c)(1)(B))."""
    withdraw_paperless(household=link.household, how="Said on my home.", at=now())
    return redirect("my-home", link_token(link))


@for_household("my home")
@require_safe
def certificate(_request: HttpRequest, link: HouseholdLink, number: str) -> HttpResponseBase:
    """The current certificate of a promise that the household holds, as it was printed."""
    printed = Certificate.objects.current().exclude(sha256="").order_by("-edition")
    mine = Promise.objects.shown_to(link.household).filter(number=number)
    found = printed.filter(promise__in=mine).first()
    if found is None:
        raise Http404
    return FileResponse(found.file.open("rb"), as_attachment=True, filename=f"{number}.pdf")


def _note_seen(request: HttpRequest, link: HouseholdLink, at: datetime) -> None:
    """Programs that only look whether a link leads somewhere ask by HEAD: nobody saw it."""
    if request.method != "HEAD":
        seeing.see_by_link(link=link, at=at)


def _address(link: HouseholdLink) -> str:
    return reverse("my-home", args=[link_token(link)])


def _shown(
    request: HttpRequest, link: HouseholdLink, name: str, page: dict[str, object]
) -> HttpResponse:
    """The page in the household's language."""
    household = link.household
    facts = {
        "household": household,
        "token": link_token(link),
        "LANGUAGE_CODE": household.language,
        "part": f"warranties/_{name}.{household.language}.html",
        **page,
    }
    with override(household.language):
        return render(request, f"warranties/{name}.html", facts)
