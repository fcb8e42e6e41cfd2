"""What a notice says: its words from the household's template, and the mail that carries them.

The words of each kind and language stand in templates/warranties/notices/<kind>.<language>.txt, in
the marks of warranties/markup.py: the plain text, the HTML and the letter come from the same words.
The first line is the subject.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, NamedTuple, cast

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import override

from customers.links import link_address, link_token
from customers.models import Household, HouseholdLink, Plant
from jobs.invitation import invitation
from shared.firm import the_firm
from warranties import markup, segments, trimming
from warranties.models import Certificate, Notice, Transfer
from warranties.notices.leaving import leave_address
from warranties.notices.texting import Text

LINK_DAYS = 180


class Attached(NamedTuple):
    name: str
    content: bytes
    kind: str


@dataclass(frozen=True, slots=True)
class Written:
    subject: str
    blocks: list[markup.Block]
    attached: list[Attached]


class Told(NamedTuple):
    """One plant of a trim-back notice, as the template names it."""

    notice: Notice
    name: str
    place: str
    by: date | None
    clear: str
    done: str
    help: str


def link_of(notice: Notice, at: datetime) -> HouseholdLink:
    """The household's way in that this notice carries: the same at every attempt."""
    link, _made = HouseholdLink.objects.get_or_create(
        household=notice.household,
        purpose=f"notice {notice.pk}",
        defaults={"expires_at": at + timedelta(days=LINK_DAYS)},
    )
    return link


def entrance(notice: Notice, at: datetime) -> str:
    """Where a letter's code leads: to my home, or to the page where a transfer is confirmed."""
    if notice.kind == "transfer":
        transfer = Transfer.objects.get(pk=notice.facts["transfer"])
        if link := transfer.voice_of(notice.household).link:
            return link_address(link, "transfer")
    return link_address(link_of(notice, at))


def write(notice: Notice, *, at: datetime) -> Written:
    """Write the notice in its household's language. Its rows are read here, not when planned."""
    token = link_token(link_of(notice, at))
    facts = {**_facts(notice, token, at), **_common(notice, token)}
    with override(notice.language):
        text = render_to_string(f"warranties/notices/{notice.kind}.{notice.language}.txt", facts)
    subject, _, body = text.strip().partition("\n")
    return Written(
        subject=" ".join(subject.split()),
        blocks=markup.blocks(body, ours=settings.BASE_URL),
        attached=list(_attached(notice)),
    )


def _common(notice: Notice, token: str) -> dict[str, Any]:
    return {
        "notice": notice,
        "name": _line(notice.household.name),
        "street": _line(notice.home.street),
        "firm": the_firm(),
        "phone": the_firm().phone_shown,
        "my_home": settings.BASE_URL + reverse("my-home", args=[token]),
    }


def _facts(notice: Notice, token: str, at: datetime) -> dict[str, Any]:
    if notice.kind == "trim-back":
        told = [_told(each, token) for each in [notice, *joined(notice)] if each.plant]
        told.sort(key=lambda each: each.by or date.max)
        return {"plants": told, "today": at.astimezone(notice.home.tz).date()}
    if notice.kind == "seal-check":
        return {"by": notice.due_on, "help": answer_address(token, notice, "help")}
    if notice.kind == "transfer":
        return {"side": notice.facts["side"], "confirm": entrance(notice, at)}
    if notice.booking:
        tz = notice.home.tz
        visit = notice.booking
        return {
            "visit": visit,
            "starts": visit.starts_at.astimezone(tz),
            "ends": visit.ends_at.astimezone(tz),
        }
    return {}


def joined(notice: Notice) -> list[Notice]:
    """The notices that go out with this one."""
    return list(notice.joined.filter(state="joined").select_related("plant"))


def _told(notice: Notice, token: str) -> Told:
    plant = cast(Plant, notice.plant)
    return Told(
        notice=notice,
        name=_line(plant.name),
        place=_line(plant.place),
        by=notice.due_on,
        clear=trimming.clear_words(
            plant.needs_mm, units=settings.FIRM_UNITS, language=notice.language
        ),
        done=answer_address(token, notice, "done"),
        help=answer_address(token, notice, "help"),
    )


def answer_address(token: str, notice: Notice, answer: str) -> str:
    return settings.BASE_URL + reverse("my-home-answer", args=[token, notice.pk, answer])


def _attached(notice: Notice) -> Iterator[Attached]:
    if notice.booking:
        calendar = invitation(
            notice.booking, firm=the_firm(), language=notice.language, at=notice.planned_at
        )
        yield Attached("visit.ics", calendar, "text/calendar")
    if notice.kind == "certificate":
        certificate = Certificate.objects.get(pk=notice.facts["certificate"])
        with certificate.file.open() as file:
            yield Attached(f"{certificate.promise.number}.pdf", file.read(), "application/pdf")


def mail_of(notice: Notice, written: Written, household: Household) -> EmailMultiAlternatives:
    """The mail: text and HTML from the same words, how to leave, no picture that reports back."""
    leave = leave_address(notice)
    frame = {
        "body": markup.as_html(written.blocks),
        "subject": written.subject,
        "notice": notice,
        "firm": the_firm(),
        "phone": the_firm().phone_shown,
        "leave": leave,
        "street": _line(notice.home.street),
    }
    foot = f"warranties/notices/_foot.{notice.language}.txt"
    text = f"{markup.as_text(written.blocks)}\n-- \n{render_to_string(foot, frame)}"
    mail = EmailMultiAlternatives(
        subject=written.subject, body=text, to=[household.mail], headers=_headers(notice, leave)
    )
    with override(notice.language):
        html = render_to_string("warranties/notices/layout.mail.html", frame)
    mail.attach_alternative(html, "text/html")
    for each in written.attached:
        mail.attach(*each)
    return mail


def text_of(notice: Notice, written: Written, *, at: datetime) -> Text:
    """The text: what it is about, the way in, how to end it. The rest stands on my home."""
    token = link_token(link_of(notice, at))
    facts = {**_common(notice, token), "subject": written.subject, "by": notice.due_on}
    with override(notice.language):
        name = f"warranties/notices/_text.{notice.language}.txt"
        words = render_to_string(name, facts).strip()
    to = str(notice.household.phone)
    return Text(notice.message_id.strip("<>"), to, words, segments.count(words).parts)


def _headers(notice: Notice, leave: str) -> dict[str, str]:
    """RFC 8058 asks for https; without it only the mail address is named."""
    by_mail = f"<mailto:{settings.FIRM_EMAIL}?subject=unsubscribe>"
    headers = {
        "Message-ID": notice.message_id,
        "Auto-Submitted": "auto-generated",
        "Content-Language": notice.language,
        "List-Unsubscribe": by_mail,
    }
    if leave.startswith("https://"):
        headers["List-Unsubscribe"] = f"<{leave}>, {by_mail}"
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def _line(text: str) -> str:
    """A name on one line, so that it cannot begin a mark or a header of ours."""
    return " ".join(text.replace("[", "(").replace("]", ")").split())
