"""The words of notices: what stands, a new version looked at on a real home, back to ours."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.timezone import now
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shared.kept import with_pictures
from shared.models import languages
from shared.requests import StaffRequest
from shared.roles import allowed
from warranties import segments
from warranties.actions import rewording
from warranties.forms.words import WordsForm
from warranties.models import Notice, NoticeWords
from warranties.models.words import occasions
from warranties.notices.letter import letter_pdf
from warranties.notices.mailing import mail_of
from warranties.notices.sample import TOKEN, sample
from warranties.notices.texting import Text
from warranties.notices.words import shipped_words, standing_words
from warranties.notices.writing import Written, compose, text_of
from warranties.phrasing import FIELD, fields_of, is_texted, text_fields_of
from warranties.views.outbox import APART


@allowed("keep_firm")
@require_GET
def all_words(request: StaffRequest) -> HttpResponse:
    """Every occasion in each language, and whose words stand. One query for all."""
    newest: dict[tuple[str, str], NoticeWords] = {}
    for row in NoticeWords.objects.select_related("made_by").order_by("version"):
        newest[row.occasion, row.language] = row
    rows = [
        (occasion, title, code, language, newest.get((occasion, code)))
        for occasion, title in occasions()
        for code, language in languages()
    ]
    return render(request, "warranties/all_words.html", {"rows": rows})


@allowed("keep_firm")
@require_http_methods(["GET", "HEAD", "POST"])
def words(request: StaffRequest, occasion: str, language: str) -> HttpResponseBase:
    """Write, look, keep: `do` says which. As a mail or a letter it opens by itself."""
    _known(occasion, language)
    if request.method != "POST":
        begin = _begin(occasion, language, request.GET.get("version", ""))
        return _page(request, occasion, language, WordsForm(initial=begin, occasion=occasion))
    form = WordsForm(request.POST, occasion=occasion)
    if not form.is_valid():
        return _page(request, occasion, language, form, status=422)
    if request.POST.get("do") == "keep":
        return _keep(request, occasion, language, form)
    look = _look(occasion, language, form)
    if look and request.POST.get("do") == "mail":
        return _as_mail(look)
    if look and request.POST.get("do") == "letter":
        return _as_letter(look)
    return _page(request, occasion, language, form, look=look)


@allowed("keep_firm")
@require_POST
def ship(request: StaffRequest, occasion: str, language: str) -> HttpResponseBase:
    """Back to the words that ship with this program."""
    _known(occasion, language)
    rewording.ship_words(occasion=occasion, language=language, by=request.user, at=now())
    messages.success(request, "The shipped words stand again. Your own versions are kept below.")
    return redirect("notice-words", occasion, language)


def _known(occasion: str, language: str) -> None:
    if occasion not in dict(occasions()) or language not in dict(languages()):
        raise Http404("No such words.")


def _begin(occasion: str, language: str, version: str) -> Mapping[str, str]:
    """What the form begins with: an earlier version, the shipped words, else what stands."""
    if version == "shipped":
        return shipped_words(occasion, language)._asdict()
    earlier = NoticeWords.objects.of(occasion, language).filter(shipped=False)
    row = earlier.filter(version=version).first() if version.isdecimal() else None
    return (row.words if row else standing_words(occasion, language))._asdict()


def _keep(request: StaffRequest, occasion: str, language: str, form: WordsForm) -> HttpResponseBase:
    try:
        rewording.keep_words(
            occasion=occasion, language=language, words=form.words(), by=request.user, at=now()
        )
    except rewording.WordsRefused:
        return _page(request, occasion, language, form, status=422)
    messages.success(request, "Kept. What goes out from now on is written in these words.")
    for caution in segments.cautions(FIELD.sub("", form.words().text)):
        messages.warning(request, f"The text message: {caution}")
    return redirect("notice-words", occasion, language)


@dataclass(frozen=True, slots=True)
class Look:
    """The words as one home would get them."""

    notice: Notice
    written: Written
    text: Text

    @property
    def counted(self) -> segments.Segments:
        return segments.count(self.text.text)

    @property
    def cautions(self) -> list[str]:
        """Why the text message is dearer than it need be."""
        return list(segments.cautions(self.text.text))

    @property
    def plain(self) -> str:
        return str(mail_of(self.notice, self.written, self.notice.household).body)


def _look(occasion: str, language: str, form: WordsForm) -> Look | None:
    """None where no home was chosen, or nobody lives there."""
    home = form.cleaned_data["home"]
    notice = sample(occasion, language, home, now()) if home else None
    if notice is None:
        return None
    written = compose(notice, form.words(), token=TOKEN, at=now())
    return Look(notice, written, text_of(notice, written))


def _as_mail(look: Look) -> HttpResponse:
    mail = mail_of(look.notice, look.written, look.notice.household)
    pictures = {each.name: each.png for each in look.written.pictures}
    response = HttpResponse(with_pictures(str(mail.alternatives[0][0]), pictures))
    response.headers["Content-Security-Policy"] = APART
    return response


def _as_letter(look: Look) -> HttpResponse:
    nowhere = look.notice.home.get_absolute_url()  # for the code of a letter that is never sent
    pdf = letter_pdf(look.notice, look.written, address=nowhere, at=now())
    response = HttpResponse(pdf, content_type="application/pdf")
    response.headers["Content-Disposition"] = 'inline; filename="preview.pdf"'
    return response


def _page(
    request: StaffRequest,
    occasion: str,
    language: str,
    form: WordsForm,
    *,
    look: Look | None = None,
    status: int = 200,
) -> HttpResponse:
    valid = form.is_bound and form.is_valid()
    context = {
        "form": form,
        "occasion": occasion,
        "title": dict(occasions())[occasion],
        "code": language,
        "language": dict(languages())[language],
        "fields": fields_of(occasion),
        "text_fields": text_fields_of(occasion) if is_texted(occasion) else {},
        "faults": rewording.words_faults(occasion, form.words()) if valid else [],
        "look": look,
        "versions": NoticeWords.objects.of(occasion, language).select_related("made_by"),
    }
    return render(request, "warranties/words.html", context, status=status)
