"""The pages themselves: a face to be framed and one behind it, the drawing that says itself in
words, letters that can be read, our own fonts."""

import json
from io import BytesIO
from random import Random
from typing import Any

import pikepdf
import pytest

from tests.factories import NOON
from tests.warranties.certified import AS_FITTED, make_certificate, make_open_promise, pdf_of
from tests.warranties.papers import letter_sizes, text_of, words_of
from warranties.actions import promising
from warranties.certificate.paper import print_certificate
from warranties.demo.houses import a_house

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def alternatives(pdf: pikepdf.Pdf) -> list[str]:
    """The text alternative of every figure, in reading order."""
    found: list[str] = []

    def walk(element: Any) -> None:
        if isinstance(element, pikepdf.Array):
            for child in element:
                walk(child)
        elif isinstance(element, pikepdf.Dictionary):
            if element.get("/S") == "/Figure":
                found.append(str(element.get("/Alt", "")))
            if "/K" in element:
                walk(element.K)

    walk(pdf.Root.StructTreeRoot.K)
    return found


def make_record(language: str = "en", **fields: Any) -> dict[str, Any]:
    """As written down at the handing over: not printed yet."""
    promise = make_open_promise(language=language)
    return {**promising.issue_certificate(promise=promise, at=NOON).record, **fields}


def count(pdf: bytes) -> int:
    with pikepdf.open(BytesIO(pdf)) as opened:
        return len(opened.pages)


def test_the_drawing_says_itself_in_words() -> None:
    with pikepdf.open(BytesIO(print_certificate(make_record()))) as opened:
        picture, code = alternatives(opened)

    assert picture.startswith("The home from above, with the ring as fitted. House: 4 legs,")
    assert "gas riser" in picture
    assert code.startswith("Code that opens http://127.0.0.1:8000/check/RK-2026-")


def test_a_plan_that_cannot_be_drawn_leaves_the_drawing_out() -> None:
    with pikepdf.open(BytesIO(print_certificate(make_record(plan={"schema": 99})))) as opened:
        assert len(alternatives(opened)) == 1
        assert len(opened.pages) == 2


COLLARS = {"code": "collar", "places": "gas riser > building; hose bib > building"}
PLANTS = [
    {"name": f"star jasmine {n}", "place": f"at leg {n}", "keep": "1' 0\""} for n in range(1, 15)
]
OWNERS = "Bartholomew Castellanos-Whitcombe, María Núñez Echeverría, Wilhelmina Fenwright, A Trust"
HOUSE = a_house(Random(8), ["lantana", "rosemary"]).to_json()  # noqa: S311  # a house, no secret
ABROAD = {"lines": ["Weidenweg 14", "12345 Musterfeld"], "country": "DE"}
SHAPES: dict[str, tuple[str, dict[str, Any], int]] = {
    "English": ("en", {"plan": HOUSE, "fitted": [COLLARS] * 6}, 2),
    "Spanish": ("es", {"plan": HOUSE, "fitted": [COLLARS] * 6}, 2),
    "Spanish on A4": ("es", {"plan": HOUSE, "fitted": [COLLARS] * 6, "home": ABROAD}, 2),
    "fourteen plants": ("en", {"plan": HOUSE, "plants": PLANTS}, 2),
    "four owners, three exceptions": (
        "en",
        {"plan": HOUSE, "holder": OWNERS, "exceptions": ["The gas meter at leg 2."] * 3},
        2,
    ),
    "long lists": (
        "es",
        {
            "plan": HOUSE,
            "fitted": [COLLARS] * 14,
            "exceptions": ["The wall at leg 4 is the neighbour’s: we fix nothing to it."] * 9,
            "plants": PLANTS,
        },
        3,
    ),
    "no plan": ("en", {"plan": {}, "fitted": [COLLARS] * 2}, 2),
}


@pytest.mark.parametrize(("language", "fields", "pages"), SHAPES.values(), ids=SHAPES)
def test_the_pages_of_a_home(language: str, fields: dict[str, Any], pages: int) -> None:
    record = make_record(language, **fields)

    pdf = print_certificate(record)

    assert count(pdf) == pages
    face, last = ([word.text for word in words_of(pdf, page=n)] for n in (1, pages))
    assert record["number"] in face
    assert last[-3:] == [str(pages), "/", str(pages)]
    assert all(plant["name"] in " ".join(last) for plant in record["plants"])
    for page in range(1, pages + 1):
        assert min(letter_sizes(pdf, page=page)) >= 8.0


def test_long_terms_of_a_firm_are_set_large_and_end_on_a_third_page() -> None:
    record = make_record()
    terms = {**record["terms"], "body": record["terms"]["body"] * 2}

    pdf = print_certificate({**record, "terms": terms})

    assert count(pdf) == 3
    assert 9.8 in letter_sizes(pdf, page=2)
    words = " ".join(word.text for word in words_of(pdf, page=3))
    assert words.index("Your rights") < words.index("Living with the ring")


def test_a_list_too_long_for_the_face_stands_behind_it() -> None:
    record = make_record(fitted=[{"code": "collar", "places": "hose bib at leg 2"}] * 30)

    pdf = print_certificate(record)

    face, listed = words_of(pdf), words_of(pdf, page=2)
    assert "RK-2026-00001-58" in [word.text for word in face]
    assert [word.text for word in face].count("bib") == 0
    assert [word.text for word in listed].count("bib") == 30
    assert count(pdf) == 3


def test_each_number_in_the_drawing_is_named_under_it() -> None:
    pdf = print_certificate(make_record(plan=HOUSE, fitted=[]))

    said = " ".join(word.text for word in words_of(pdf))
    for number, feature in enumerate(HOUSE["features"], start=1):
        assert f"{number} {feature['name']}" in said


def test_twenty_legs_of_strip_are_one_line_of_the_face() -> None:
    fitted = [{"code": "strip-glass", "places": "; ".join(f"leg {n}" for n in range(1, 21))}]

    pdf = print_certificate(make_record(fitted=fitted))

    assert "legs 1–20" in " ".join(word.text for word in words_of(pdf))


def test_the_record_goes_along_with_the_plan() -> None:
    certificate = make_certificate()

    with pikepdf.open(BytesIO(pdf_of(certificate))) as opened:
        (spec,) = opened.Root.AF
        attached = json.loads(opened.attachments["certificate.json"].get_file().read_bytes())

    assert spec.AFRelationship == "/Data"
    assert attached == certificate.record
    assert attached["schema"] == "ringkeep-certificate/1"
    assert attached["plan"] == AS_FITTED


def test_only_our_fonts_are_in_it_and_all_are_embedded() -> None:
    with pikepdf.open(BytesIO(pdf_of(make_certificate()))) as opened:
        fonts = [
            each
            for each in opened.objects
            if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor"
        ]
        names = {str(font.FontName).split("+")[-1] for font in fonts}
        embedded = [any(key in font for key in ("/FontFile2", "/FontFile3")) for font in fonts]

    assert all(name.startswith(("Source-Serif-4", "Source-Sans-3")) for name in names), names
    assert len(fonts) == 4
    assert all(embedded)


def test_counsel_is_named_once_recorded() -> None:
    record = make_record()
    terms = {**record["terms"], "counsel": "R. Vance", "counsel_on": "2026-02-01"}

    said = text_of(print_certificate({**record, "terms": terms}))

    assert said.count("Terms reviewed by counsel: R. Vance, February 1, 2026.") == 2
    assert "Draft terms" not in said


def test_a_spanish_certificate_names_our_things_in_spanish() -> None:
    record = make_record("es")
    record["fitted"] = [{"code": "strip-glass", "places": "leg 1; leg 2; leg 3; pipe > building"}]
    record["exceptions"] = []
    record["plants"] = [{"name": "jazmín", "place": "at leg 2", "keep": "1'"}]

    said = text_of(print_certificate(record))

    assert "tramos 1–3; tubería > edificio" in said
    assert "en el tramo 2" in said
    assert "banda de vidrio" in said
    for english in ("leg ", "glass", "collar,", "strip"):
        assert english not in said
