"""What the demo's households texted yesterday: one is to be read, one wants no more of them."""

from datetime import timedelta

from customers.models import Household
from warranties.actions import hearing
from warranties.demo.firm import Firm

WORDS = ("It is cut back, thank you. When do you come next?", "STOP")


def texts_came(firm: Firm) -> None:
    """From the two newest households that allow texts."""
    allowing = Household.objects.filter(consents__channel="text", consents__given=True)
    for number, words in enumerate(WORDS):
        household = allowing.order_by("-pk")[0]
        hearing.hear(
            gateway_id=f"demo-{number}",
            phone=str(household.phone),
            words=words,
            at=firm.at(firm.today() - timedelta(days=1), 17, 20 + number),
        )
