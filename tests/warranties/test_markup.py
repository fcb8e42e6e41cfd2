"""The few marks of our messages, as text and as HTML."""

from hypothesis import given
from hypothesis import strategies as st

from warranties.markup import as_html, as_text, blocks

OURS = "https://ring.example.com"
TEXT = f"""Hello,
you there.

# What to cut

- one
- two

[It is done]({OURS}/done/)

[Help]({OURS}/help/)
"""


def test_text_says_all_and_gives_addresses() -> None:
    assert as_text(blocks(TEXT, ours=OURS)) == (
        "Hello,\nyou there.\n\nWhat to cut\n-----------\n\n- one\n- two\n\n"
        f"It is done:\n{OURS}/done/\n\nHelp:\n{OURS}/help/\n"
    )


def test_html_has_the_same_in_its_elements() -> None:
    html = as_html(blocks(TEXT, ours=OURS))

    assert "Hello,<br>you there." in html
    assert "<li>one</li><li>two</li>" in html
    assert f'<a class="button" href="{OURS}/done/">It is done</a>' in html
    assert f'<a class="button other" href="{OURS}/help/">Help</a>' in html


def test_a_button_that_leads_elsewhere_is_words_only() -> None:
    for address in ("https://evil.example.org/", "javascript:alert(1)", f"{OURS}.evil.org/"):
        html = as_html(blocks(f"[Click]({address})", ours=OURS))
        assert "href" not in html
        assert "Click" in html


@given(st.text())
def test_no_text_becomes_an_element_or_an_error(text: str) -> None:
    html = as_html(blocks(text, ours=OURS))

    for tag in ("<script", "<img", "<a ", "<b>"):
        assert tag not in html
    as_text(blocks(text, ours=OURS))
