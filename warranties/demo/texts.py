"""What came back to the demo's firm yesterday: two texts of households, and a mail of ours."""

from datetime import timedelta

from customers.models import Household
from warranties.actions import bouncing, hearing
from warranties.bounces import Report
from warranties.demo.firm import Firm
from warranties.models import Notice

WORDS = ("It is cut back, thank you. When do you come next?", "STOP")


def texts_came(firm: Firm) -> None:
    """From the two newest households that allow texts: one is to be read, one wants no more."""
    allowing = Household.objects.filter(consents__channel="text", consents__given=True)
    for number, words in enumerate(WORDS):
        household = allowing.order_by("-pk")[0]
        hearing.hear(
            gateway_id=f"demo-{number}",
            phone=str(household.phone),
            words=words,
            at=firm.at(firm.today() - timedelta(days=1), 17, 20 + number),
        )


def mail_came_back(firm: Firm) -> None:
    """The newest mail of the day before yesterday, or of before: there is no such mailbox."""
    at = firm.at(firm.today() - timedelta(days=1), 9, 5)
    sent = Notice.objects.filter(channel="mail", state="sent", sent_at__lt=at - timedelta(days=1))
    notice = sent.select_related("household").latest("sent_at", "pk")
    report = Report(
        address=notice.household.mail,
        outcome="failed",
        no_such=True,
        status="5.1.1",
        said="550 5.1.1 No such user here",
        message_id=notice.message_id,
    )
    bouncing.note_bounce(report=report, at=at)
