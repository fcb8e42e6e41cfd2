"""The address of a letter against the windows of envelopes, as poppler finds it on the page.

Number 10 (4 1/8 x 9 1/2 in), window 1 1/8 x 4 1/2 in, 7/8 in from the left, 1/2 in from the bottom:
common practice, from memory. 1/8 in clear on every side "when the insert is moved to its full
limits": USPS Publication 25, 3-9, about.usps.com/publications/pub25/pub25_ch3_009.htm.
DIN 5008:2020, form B, from memory: field 45 mm from the top, 20 mm from the left, 85 x 45 mm;
return and notes 17.7 mm, address 27.3 mm (so din-5008-richtlinien.de, "Anschriftenfeld": the line
between them 62.7 mm from the top).
"""

import shutil
from io import BytesIO

import pikepdf
import pytest
from pytest_django import Settings

from customers.models import Household
from tests.factories import NOON, make_home, make_household
from tests.warranties.certified import make_certificate, pdf_of
from tests.warranties.papers import Word, text_of, words_of
from warranties.models import Certificate, Notice
from warranties.notices.letter import certificate_for_post, letters_pdf

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.any_database,
    pytest.mark.skipif(not shutil.which("pdftotext"), reason="needs poppler's pdftotext"),
]
INCH = 25.4
PAPER = {"us10": (8.5 * INCH, 11 * INCH), "din-b": (210.0, 297.0)}
FIRST_FOLD = 4 * INCH  # of ours in a number 10
PLAY = (9.5 * INCH - 8.5 * INCH, 4.125 * INCH - FIRST_FOLD)
CLEAR = INCH / 8


def inside_us10(word: Word, from_bottom: float) -> bool:
    """Whether a word stays 1/8 in inside the window wherever the insert slides to."""
    bottom = (4.125 - from_bottom) * INCH
    left, right, top = 0.875 * INCH, 5.375 * INCH, bottom - 1.125 * INCH
    return all(
        left + CLEAR <= word.left + x
        and word.right + x <= right - CLEAR
        and top + CLEAR <= word.top + y
        and word.bottom + y <= bottom - CLEAR
        for x in (0, PLAY[0])
        for y in (0, PLAY[1])
    )


def inside_din(word: Word) -> bool:
    return word.left >= 20 and word.right <= 105 and word.top >= 62.7 and word.bottom <= 90


def letter_to(household: Household, *, unit: str = "Unit 3") -> bytes:
    home = make_home(household=household, street="14 Juniper Bend", unit=unit)
    notice = Notice.objects.create(
        household=household,
        home=home,
        kind="seal-check",
        occasion="seal-check:1",
        channel="letter",
        language=household.language,
        due_on=NOON.date(),
        send_at=NOON,
    )
    return letters_pdf([notice], at=NOON)


def address_of(pdf: bytes, first: str, last: str) -> list[Word]:
    """The words of the address: from its first to its last, where they come the first time."""
    words = words_of(pdf)
    texts = [word.text for word in words]
    start = texts.index(first)
    return words[start : texts.index(last, start) + 1]


NAMES = {
    "short": ("Ana Ortega", ""),
    "long": ("Maria de la Concepcion Villalobos-Etcheverria and Luis Ortega", ""),
    "abroad": ("Ana Ortega", "c/o Blake\nFloor 4\n200 Market Street\nTorvale ON  85000"),
}


@pytest.mark.parametrize("case", NAMES)
@pytest.mark.parametrize("envelope", PAPER)
def test_the_address_shows_in_the_window(settings: Settings, envelope: str, case: str) -> None:
    settings.FIRM_ENVELOPE = envelope
    name, postal = NAMES[case]

    pdf = letter_to(make_household(name=name, postal_address=postal))

    words = address_of(pdf, name.split()[0], "85000")
    assert len(words) > 6
    if envelope == "din-b":
        assert [word for word in words if not inside_din(word)] == []
    else:
        assert [word for word in words if not inside_us10(word, 0.5)] == []


def test_most_addresses_fit_a_window_that_leaves_the_barcode_its_zone() -> None:
    words = address_of(letter_to(make_household(name="Ana Ortega"), unit=""), "Ana", "85000")

    assert [word for word in words if not inside_us10(word, 0.625)] == []


@pytest.mark.parametrize("envelope", PAPER)
def test_nothing_else_shows_in_the_window(settings: Settings, envelope: str) -> None:
    settings.FIRM_ENVELOPE = envelope
    pdf = letter_to(make_household(name="Ana Ortega"))
    address = address_of(pdf, "Ana", "85000")
    others = [word for word in words_of(pdf) if word not in address]

    if envelope == "us10":
        left, top, right, bottom = 0.0, 2.5 * INCH - PLAY[1], 5.375 * INCH, 3.625 * INCH
    else:
        left, top, right, bottom = 20.0, 62.7, 105.0, 90.0
    seen = [
        each
        for each in others
        if left < each.right and each.left < right and top < each.bottom and each.top < bottom
    ]

    assert seen == []


def test_the_return_address_stands_in_its_zone_of_the_din_window(settings: Settings) -> None:
    settings.FIRM_ENVELOPE = "din-b"
    settings.FIRM_ADDRESS = "12 Depot Road, Mesquite Flat"

    words = [w for w in words_of(letter_to(make_household())) if w.text == "Depot"]

    assert [w for w in words if w.top >= 45 and w.bottom <= 62.7 and w.left >= 20] != []


@pytest.mark.parametrize(("country", "envelope"), [("US", "us10"), ("DE", "din-b"), ("MX", "us10")])
def test_the_country_chooses_paper_and_window(
    settings: Settings, country: str, envelope: str
) -> None:
    settings.FIRM_COUNTRY = country

    with pikepdf.open(BytesIO(letter_to(make_household()))) as pdf:
        box = [float(each) * INCH / 72 for each in pdf.pages[0].mediabox]

    assert box[2:] == pytest.approx(PAPER[envelope], abs=0.1)


def test_a_certificate_on_paper_has_its_address_page_before_it() -> None:
    certificate = make_certificate(name="Ana Ortega")
    Household.objects.update(postal_address="")

    pdf = certificate_for_post(Certificate.objects.get(), at=NOON)

    words = address_of(pdf, "Ana", "85000")
    assert [word for word in words if not inside_us10(word, 0.5)] == []
    alone = pikepdf.open(BytesIO(pdf_of(certificate)))
    with alone, pikepdf.open(BytesIO(pdf)) as both:
        assert len(both.pages) == len(alone.pages) + 1


def test_a_letter_about_a_certificate_brings_it_along() -> None:
    certificate = make_certificate(name="Ana Ortega")
    promise = certificate.promise
    notice = Notice.objects.create(
        household=promise.holder,
        home=promise.home,
        kind="certificate",
        occasion="certificate:1",
        channel="letter",
        facts={"certificate": certificate.pk},
        send_at=NOON,
    )

    read = text_of(letters_pdf([notice], at=NOON))

    assert read.index("Your certificate for") < read.index("Limited lifetime warranty")
