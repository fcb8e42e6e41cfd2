import re
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from jobs.actions import showing
from jobs.models import Crew, Offer, PriceBook
from tests.factories import NOON, make_job, make_offer, make_price_book, make_terms
from tests.warranties.papers import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noon() -> Any:
    with time_machine.travel(NOON, tick=False):
        yield


def rows(*lines: tuple[str, str, str, str], initial: int = 0) -> dict[str, str]:
    """A posted formset: code, text, quantity, price of each line."""
    data = {
        "lines-TOTAL_FORMS": str(len(lines)),
        "lines-INITIAL_FORMS": str(initial),
        "valid_until": "2026-04-01",
        "deposit": "",
        "note": "",
        "language": "en",
    }
    for number, line in enumerate(lines):
        for name, value in zip(("code", "text", "quantity", "unit_price"), line, strict=True):
            data[f"lines-{number}-{name}"] = value
    return data


def test_offer_from_nothing_to_agreed(office: Client) -> None:
    make_price_book(tax_rate=Decimal("0.05"))
    job = make_job(stage="measured")

    page = office.post(reverse("offer-new", args=[job.number]), follow=True)
    offer = Offer.objects.get()
    url = offer.get_absolute_url()
    assert page.redirect_chain == [(url, 302)]
    office.post(
        url, rows(("strip-glass", "", "100", ""), ("", "", "", ""), ("collar", "", "2", ""))
    )
    office.post(reverse("offer-send", args=[offer.number]))
    page = office.get(url)
    office.post(
        reverse("offer-agreed", args=[offer.number]),
        {
            "by": "Ada Quill",
            "how": "home",
            "agreed_at": "2026-03-02T12:00",
            "warranty_shown_at": "2026-03-02T11:45",
            "told_orally": "on",
            "code": showing.show(offer=Offer.objects.get(), at=NOON).code,
        },
    )

    offer.refresh_from_db()
    job.refresh_from_db()
    assert "$2,614.50" in page.content.decode()
    assert (offer.state, offer.agreed_at, job.stage) == ("agreed", NOON, "agreed")
    assert job.revenue == Decimal("2490.00")


def test_lines_are_changed_removed_and_priced_by_hand(office: Client) -> None:
    offer = make_offer()

    office.post(
        offer.get_absolute_url(),
        {
            **rows(("strip-glass", "Strip", "160", "23.50"), ("collar", "", "2", "45"), initial=2),
            "lines-1-DELETE": "on",
            "deposit": "500",
        },
    )

    offer.refresh_from_db()
    (line,) = offer.lines.all()
    assert (line.text, line.amount, offer.deposit) == ("Strip", Decimal("3760.00"), 500)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("collar", "", "", ""), "How many, or how long?"),
        (("", "Something", "1", ""), "Which item?"),
        (("moat", "", "1", ""), "moat"),
        (("collar", "", "-1", ""), "greater than or equal to 0"),
    ],
)
def test_refused_lines_keep_what_was_typed(
    office: Client, line: tuple[str, str, str, str], words: str
) -> None:
    offer = make_offer()

    response = office.post(offer.get_absolute_url(), rows(line))

    assert response.status_code == 422
    assert words in response.content.decode()
    assert offer.lines.count() == 2


def test_agreement_refused_with_the_reason(office: Client) -> None:
    offer = make_offer(state="sent")
    code = showing.show(offer=offer, at=NOON).code
    form = {"by": "Ada", "how": "paper", "agreed_at": "2026-03-02T12:00", "code": code}

    response = office.post(reverse("offer-agreed", args=[offer.number]), form)

    assert response.status_code == 422
    assert "Show the warranty before" in response.content.decode()


def test_office_cannot_record_an_agreement_on_line(office: Client) -> None:
    offer = make_offer(state="sent")
    form = {"by": "Ada", "how": "online", "agreed_at": "2026-03-02T12:00"}

    assert office.post(reverse("offer-agreed", args=[offer.number]), form).status_code == 422


def test_send_twice_says_so(office: Client) -> None:
    offer = make_offer()
    url = reverse("offer-send", args=[offer.number])
    office.post(url)

    page = office.post(url, follow=True).content.decode()

    assert f"Offer {offer.number} is sent." in page
    assert 'class="error"' in page


def test_declined_offer_is_replaced(office: Client) -> None:
    offer = make_offer(state="sent")

    office.post(reverse("offer-declined", args=[offer.number]))
    page = office.post(reverse("offer-replace", args=[offer.number]), follow=True)

    fresh = Offer.objects.get(state="draft")
    assert page.redirect_chain == [(fresh.get_absolute_url(), 302)]
    assert fresh.lines.count() == 2


def test_paper_carries_the_statements_twice_filled_in(office: Client) -> None:
    """16 CFR 429.1(a)-(c), 702.3(d)(2)."""
    offer = make_offer(state="sent")

    page = office.get(
        reverse("offer-paper", args=[offer.number]), {"signed": "2026-11-25"}
    ).content.decode()

    assert page.count("<h2>Notice of Cancellation</h2>") == 2
    assert page.count("NOT LATER THAN MIDNIGHT OF NOVEMBER 30, 2026") == 2
    assert page.count("November 25, 2026 (date of the transaction)") == 2
    assert "<strong>You, the buyer, may cancel this transaction at any time" in page
    assert "copies of the warranty" in page


def test_paper_speaks_the_language_of_the_talk(office: Client) -> None:
    """16 CFR 429.1(a), (b): the same language as that of the oral sales presentation."""
    offer = make_offer(state="sent", language="es")

    page = office.get(
        reverse("offer-paper", args=[offer.number]), {"signed": "2026-11-25"}
    ).content.decode()

    assert page.count("<h2>Aviso de cancelación</h2>") == 2
    assert page.count("A MÁS TARDAR A LA MEDIANOCHE DEL 30 DE NOVIEMBRE DE 2026") == 2
    assert page.count("25 de noviembre de 2026 (fecha de la transacción)") == 2
    assert "<strong>Usted, el comprador, puede cancelar esta transacción" in page
    assert "Notice of Cancellation" not in page
    assert "Buyer" not in page


def test_lines_follow_the_language_of_the_talk(office: Client) -> None:
    offer = make_offer()
    offer.book.prices.filter(code="strip-glass").update(text="Glass", text_es="Vidrio")
    typed = rows(("strip-glass", "Glass", "160", ""), ("collar", "Two of ours", "2", ""))

    office.post(offer.get_absolute_url(), {**typed, "language": "es"})

    assert [line.text for line in offer.lines.all()] == ["Vidrio", "Two of ours"]


@pytest.mark.parametrize("day", ["", "soon", "2026-02-31"])
def test_paper_without_a_day_is_for_today(office: Client, day: str) -> None:
    page = office.get(reverse("offer-paper", args=[make_offer().number]), {"signed": day})

    assert "Date of this transaction: March 2, 2026" in page.content.decode()


def test_the_offers_pdf_stands_beside_the_code_that_the_office_types(office: Client) -> None:
    make_terms(body="## What we repair\n\nWe repair the strip.")
    offer = make_offer(state="sent", language="es")
    address = reverse("offer-pdf", args=[offer.number])

    page = office.get(offer.get_absolute_url()).content.decode()
    answer = office.get(address)

    code, told = page.index('name="code"'), page.index('name="told_orally"')
    assert code < page.index(f'href="{address}"') < told
    assert answer.headers["Content-Type"] == "application/pdf"
    said = text_of(answer.content)
    assert offer.shown.get().code in said
    assert "Aviso de cancelación" in said


def test_tech_sees_no_offer(tech: Client) -> None:
    assert tech.get(make_offer().get_absolute_url()).status_code == 403


def test_new_book_is_a_copy_to_change(owner: Client) -> None:
    old = make_price_book(minimum=700, tax_rate=Decimal("0.0725"))

    owner.post(reverse("prices"), {"name": "Summer", "valid_from": "2026-06-01"})

    book = PriceBook.objects.get(name="Summer")
    assert (book.minimum, book.tax_rate) == (700, Decimal("0.0725"))
    assert list(book.prices.values_list("code", "price")) == list(
        old.prices.values_list("code", "price")
    )


def test_second_book_of_a_day_is_refused(owner: Client) -> None:
    make_price_book()

    response = owner.post(reverse("prices"), {"name": "Again", "valid_from": "2026-01-01"})

    assert response.status_code == 422
    assert "begins on 1 January 2026 already" in response.content.decode()


def test_price_is_changed(owner: Client) -> None:
    book = make_price_book()
    url = reverse("price-book", args=[book.pk])
    price = book.prices.get(code="collar")
    data = {
        "name": book.name,
        "minimum": "650",
        "tax_rate": "0.05",
        "deposit_share": "0.25",
        "prices-TOTAL_FORMS": "1",
        "prices-INITIAL_FORMS": "1",
        "prices-0-id": price.pk,
        "prices-0-code": "collar",
        "prices-0-text": "Collar",
        "prices-0-text_es": "Collarín",
        "prices-0-unit": "each",
        "prices-0-price": "47.50",
        "prices-0-cost": "9",
    }

    response = owner.post(url, data)
    refused = owner.post(url, {**data, "deposit_share": "30"})
    shown = owner.get(url).content.decode()

    book.refresh_from_db()
    price.refresh_from_db()
    assert response.status_code == 302
    assert (book.minimum, price.price) == (650, Decimal("47.50"))
    assert refused.status_code == 422
    assert 'value="Collarín"' in shown


@pytest.mark.parametrize("name", ["deposit_share", "tax_rate", "minimum"])
def test_a_book_asks_for_nothing_below_zero(owner: Client, name: str) -> None:
    url = reverse("price-book", args=[make_price_book().pk])

    page = owner.post(url, {name: "-0.01", "prices-TOTAL_FORMS": "0", "prices-INITIAL_FORMS": "0"})

    assert "greater than or equal to 0" in page.content.decode()


def test_a_crew_never_costs_less_than_nothing(owner: Client) -> None:
    owner.post(reverse("crews"), {"name": "North", "hourly_cost": "-1", "active": "on"})

    assert not Crew.objects.exists()


def test_crew_is_entered_and_changed(owner: Client) -> None:
    owner.post(reverse("crews"), {"name": "North", "hourly_cost": "38", "active": "on"})
    crew = Crew.objects.get()

    owner.post(reverse("crew", args=[crew.pk]), {"name": "North", "hourly_cost": "40"})

    crew.refresh_from_db()
    assert (crew.hourly_cost, crew.active) == (Decimal(40), False)


@pytest.mark.parametrize("name", ["prices", "crews"])
def test_office_keeps_no_prices_or_crews(office: Client, name: str) -> None:
    assert office.get(reverse(name)).status_code == 403


def test_on_a_telephone_the_amounts_stay_and_the_columns_agree(office: Client) -> None:
    """What is marked wide is left out there: three columns of four stay, in every row."""
    shown = office.get(make_offer(state="sent").get_absolute_url()).content.decode()
    table = shown.split('aria-label="Lines of the offer"')[1].split("</table>")[0]

    for row in re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL):
        cells = re.findall(r"<t[hd]([^>]*)>", row)
        wide = [cell for cell in cells if "wide" in cell]
        widths = [int((re.findall(r'colspan="(\d+)"', cell) or ["1"])[0]) for cell in cells]
        assert (len(wide), sum(widths)) == (1, 4), row
        assert "wide" not in cells[-1]
