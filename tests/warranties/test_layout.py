"""What gives way on a certificate, in which order, and that it comes to an end."""

import pytest

from warranties.certificate.layout import LEAST, MOST, Layout

FITS = {"pages": 2, "spare": 1.0}
SLID_OFF = -279.4


@pytest.mark.parametrize(
    ("layout", "seen", "then"),
    [
        (Layout(90), FITS, None),
        (Layout(90), {"pages": 2, "spare": -4.2}, Layout(85)),
        (Layout(90), {"pages": 3, "spare": SLID_OFF}, Layout((90 + LEAST) // 2)),
        (Layout(60), {"pages": 2, "spare": -9.0}, Layout(LEAST)),
        (Layout(LEAST), {"pages": 2, "spare": -0.1}, Layout(MOST, apart=True)),
        (Layout(MOST, apart=True), {"pages": 3, "spare": 0.0}, None),
        (
            Layout(LEAST, apart=True),
            {"pages": 3, "spare": -1.0},
            Layout(LEAST, apart=True, loose=True),
        ),
        (Layout(LEAST, apart=True, loose=True), {"pages": 4, "spare": SLID_OFF}, None),
        (Layout(90), {"pages": 3, "spare": 1.0}, Layout(90, text="roomy")),
        (Layout(90, text="roomy"), {"pages": 3, "spare": 1.0}, Layout(90, text="snug")),
        (Layout(90, text="snug"), {"pages": 3, "spare": 1.0}, Layout(90, text="long")),
        (Layout(90, text="long"), {"pages": 4, "spare": 1.0}, None),
        (Layout(90, apart=True), {"pages": 4, "spare": 1.0}, Layout(90, apart=True, text="roomy")),
    ],
)
def test_what_is_tried_after(layout: Layout, seen: dict[str, float], then: Layout | None) -> None:
    assert layout.after(pages=int(seen["pages"]), spare=seen["spare"]) == then


@pytest.mark.parametrize("spare", [-0.1, -30.0, SLID_OFF])
def test_it_comes_to_an_end_whatever_is_seen(spare: float) -> None:
    tried = [Layout(MOST)]
    while following := tried[-1].after(pages=9, spare=spare):
        tried.append(following)

    assert tried[-1] == Layout(LEAST, apart=True, loose=True, text="long")
    assert len(set(tried)) == len(tried)
