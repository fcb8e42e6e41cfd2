"""The mail that carries a notice.

It is fit to be signed by the mail server (DKIM): every header that a signature covers is set by us
once, the sender's domain is the firm's in From and Message-ID alike, and all parts are in seven
bits, since a relay that recodes eight would break the signature (RFC 6376 section 5.3).
"""

from email.charset import QP, Charset
from email.mime.image import MIMEImage

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.utils.translation import override

from customers.models import Household
from shared.firm import the_firm
from warranties import markup
from warranties.models import Notice
from warranties.notices.leaving import leave_address
from warranties.notices.pictures import Picture
from warranties.notices.writing import Written

SEVEN_BIT = Charset("utf-8")
SEVEN_BIT.body_encoding = QP


class Illustrated(EmailMultiAlternatives):
    """What its HTML shows belongs to it and is no attachment (RFC 2387)."""

    mixed_subtype = "related"


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
        "street": written.streets,
    }
    foot = f"warranties/notices/_foot.{notice.language}.txt"
    text = f"{markup.as_text(written.blocks)}\n-- \n{render_to_string(foot, frame)}"
    kind = Illustrated if written.pictures else EmailMultiAlternatives
    mail = kind(
        subject=written.subject, body=text, to=[household.mail], headers=_headers(notice, leave)
    )
    with override(notice.language):
        html = render_to_string("warranties/notices/layout.mail.html", frame)
    mail.encoding = SEVEN_BIT
    mail.attach_alternative(html, "text/html")
    for each in written.attached:
        mail.attach(*each)
    for picture in written.pictures:
        mail.attach(_inline(picture))
    return mail


def _inline(picture: Picture) -> MIMEImage:
    part = MIMEImage(picture.png, "png")
    part.add_header("Content-ID", f"<{picture.name}>")
    part.add_header("Content-Disposition", "inline", filename=f"{picture.name}.png")
    return part


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
