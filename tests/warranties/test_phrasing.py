"""The firm's own words of a notice: what they may name, must name and must not say."""

import pytest

from shared.models import languages
from warranties.notices.words import shipped_words
from warranties.phrasing import OCCASIONS, Words, faults

GOOD = Words("Cut back {what}", "Hello {name},\n\n{plants}\n\n[Your home]({my_home})\n")


@pytest.mark.parametrize("language", [code for code, _ in languages()])
@pytest.mark.parametrize("occasion", OCCASIONS)
def test_the_shipped_words_have_no_fault(occasion: str, language: str) -> None:
    assert faults(occasion, shipped_words(occasion, language)) == []


def test_good_words_have_none() -> None:
    assert faults("trim-back", GOOD) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (GOOD._replace(subject=" "), "one line"),
        (GOOD._replace(subject="x" * 121), "at most 120"),
        (GOOD._replace(subject="See {my_home}"), "{my_home} cannot stand in the subject"),
        (GOOD._replace(body="Hello"), "must name {plants}"),
        (GOOD._replace(body="{plants}\n\n{color}"), "no field {color}"),
        (GOOD._replace(body="{plants}\n\n{{ firm }}"), "no field { firm }"),
        (GOOD._replace(body="{plants}\n\n{% include 'x' %}"), "no field {% include 'x' %}"),
        (GOOD._replace(body="{plants}\n\nhalf {name"), "brace stands alone"),
        (GOOD._replace(body="Look: {plants}"), "paragraph of its own"),
        (GOOD._replace(body="{plants}\n\n{my_home}"), "write it as a button"),
        (GOOD._replace(body="{plants}\n\n[Look](https://evil.example.org)"), "not to “https"),
        (GOOD._replace(body="{plants}\n\nwww.example.org"), "Addresses of other pages"),
        (GOOD._replace(body="{plants}\n\n![x](cid:y)"), "never by hand"),
        (GOOD._replace(body="{plants}\n\nNow for $49"), "16 CFR 316.3"),
        (GOOD._replace(body="{plants}\n\n20 % less"), "16 CFR 316.3"),
        (GOOD._replace(body="{plants}\n\nSolo 30 dólares"), "16 CFR 316.3"),
        (GOOD._replace(body="{plants}\n\nA special offer for you"), "advertises"),
        (GOOD._replace(body="{plants}\n\nAproveche la oferta"), "advertises"),
    ],
)
def test_each_fault_is_named(words: Words, said: str) -> None:
    assert said in " ".join(faults("trim-back", words))
