"""The pages themselves: one framed page, the drawing that says itself in words, our own fonts."""

import json
from io import BytesIO
from typing import Any

import pikepdf
import pytest

from tests.factories import NOON
from tests.warranties.certified import AS_FITTED, make_certificate, make_open_promise, pdf_of
from tests.warranties.papers import text_of, words_of
from warranties.actions import promising
from warranties.certificate.paper import print_certificate

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


def test_the_drawing_says_itself_in_words() -> None:
    pdf = pdf_of(make_certificate())

    with pikepdf.open(BytesIO(pdf)) as opened:
        picture, code, again = alternatives(opened)

    assert picture.startswith("The home from above, with the ring as fitted. House: 4 legs,")
    assert "gas riser" in picture
    assert code.startswith("Code that opens http://127.0.0.1:8000/check/RK-2026-")
    assert again == "The same drawing, larger, with its legend."


def test_a_plan_that_cannot_be_drawn_leaves_the_drawing_out() -> None:
    record = make_certificate().record

    with pikepdf.open(BytesIO(print_certificate({**record, "plan": {"schema": 99}}))) as opened:
        assert len(alternatives(opened)) == 1
        assert len(opened.pages) == 2


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("rows", [1, 7, 12])
def test_the_face_is_one_page_however_much_was_fitted(language: str, rows: int) -> None:
    record = make_certificate(language=language).record
    places = "gas riser at leg 2; air-conditioner lines at leg 3, north"
    fitted = [{"code": "collar", "places": places}] * rows

    with pikepdf.open(BytesIO(print_certificate({**record, "fitted": fitted}))) as opened:
        assert len(opened.pages) == 3  # the face, the terms, the care page


@pytest.mark.parametrize("plan", ["drawn", "none"])
def test_a_list_too_long_for_the_face_gets_its_own_page(plan: str) -> None:
    record = make_certificate().record
    fitted = [{"code": "collar", "places": "gas riser at leg 2"}] * 30
    given = {**record, "fitted": fitted, "plan": record["plan"] if plan == "drawn" else {}}

    pdf = print_certificate(given)

    face, listed = words_of(pdf), words_of(pdf, page=2)
    assert "RK-2026-00001-58" in [word.text for word in face]
    assert [word.text for word in face].count("riser") == 0
    assert [word.text for word in listed].count("riser") == 30
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert len(opened.pages) == (4 if plan == "drawn" else 3)


def test_twenty_legs_of_strip_are_one_line_of_the_face() -> None:
    record = make_certificate().record
    fitted = [{"code": "strip-glass", "places": "; ".join(f"leg {n}" for n in range(1, 21))}]

    pdf = print_certificate({**record, "fitted": fitted})

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
    record = make_certificate().record
    terms = {**record["terms"], "counsel": "R. Vance", "counsel_on": "2026-02-01"}

    reviewed = print_certificate({**record, "terms": terms})

    assert reviewed != print_certificate(record)


def test_a_spanish_certificate_names_our_things_in_spanish() -> None:
    promise = make_open_promise(language="es")
    record = promising.issue_certificate(promise=promise, at=NOON).record
    record["fitted"] = [{"code": "strip-glass", "places": "leg 1; leg 2; leg 3; pipe > building"}]
    record["exceptions"] = []
    record["plants"] = [{"name": "jazmín", "place": "at leg 2", "keep": "1'"}]

    said = text_of(print_certificate(record))

    assert "tramos 1–3; tubería > edificio" in said
    assert "en el tramo 2" in said
    assert "banda de vidrio" in said
    for english in ("leg ", "glass", "collar,", "strip"):
        assert english not in said
