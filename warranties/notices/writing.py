"""A notice written: the words that stand, their fields filled, and what carries them.

The words are in the marks of warranties/markup.py: plain text, HTML and letter come from the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.translation import override

from customers.models import Household
from jobs.invitation import invitation
from shared.firm import the_firm
from warranties import markup, segments
from warranties.clauses import fill
from warranties.models import Certificate, Notice
from warranties.notices.entrance import token_of
from warranties.notices.fields import common, one_line, values_of
from warranties.notices.leaving import leave_address
from warranties.notices.texting import Text
from warranties.notices.words import occasion_of, standing_words
from warranties.phrasing import Words


class Attached(NamedTuple):
    name: str
    content: bytes
    kind: str


@dataclass(frozen=True, slots=True)
class Written:
    subject: str
    blocks: list[markup.Block]
    attached: list[Attached]


def write(notice: Notice, *, at: datetime) -> Written:
    """Write the notice in its household's language. Its rows are read here, not when planned."""
    words = standing_words(occasion_of(notice), notice.language)
    return compose(notice, words, token=token_of(notice, at), at=at)


def compose(notice: Notice, words: Words, *, token: str, at: datetime) -> Written:
    """Write the notice in these words; the token is the household's way in."""
    values = values_of(notice, token=token, at=at)
    return Written(
        subject=" ".join(fill(words.subject, values).split()),
        blocks=markup.blocks(fill(words.body, values), ours=settings.BASE_URL),
        attached=list(_attached(notice)) if notice.pk else [],
    )


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
        "street": one_line(notice.home.street),
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


def text_of(notice: Notice, written: Written, *, token: str) -> Text:
    """The text: what it is about, the way in, how to end it. The rest stands on my home."""
    facts = {
        **common(notice, token),
        "firm": the_firm(),
        "notice": notice,
        "subject": written.subject,
        "by": notice.due_on,
    }
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
