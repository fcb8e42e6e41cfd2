"""The firm's own words of a notice: what they may name, must name and must not say."""

import pytest

from shared.models import languages
from warranties.notices.words import shipped_words
from warranties.phrasing import OCCASIONS, Words, faults

TEXT = "{firm}: cut back {what}. {my_home} Reply STOP to end."
GOOD = Words("Cut back {what}", "Hello {name},\n\n{plants}\n\n[Your home]({my_home})\n", TEXT)


@pytest.mark.parametrize("language", [code for code, _ in languages()])
@pytest.mark.parametrize("occasion", OCCASIONS)
def test_the_shipped_words_have_no_fault(occasion: str, language: str) -> None:
    assert faults(occasion, shipped_words(occasion, language)) == []


def test_good_words_have_none() -> None:
    assert faults("trim-back", GOOD) == []


@pytest.mark.parametrize(
    "text",
    [
        "{firm}: {subject}. {my_home} Reply STOP to end.",
        "{firm}: corte {what}. {my_home} Responda ALTO y basta",
        "{what}!\n{my_home}\nQUIT ends it, {firm}",
    ],
)
def test_a_text_may_be_worded_freely(text: str) -> None:
    assert faults("trim-back", GOOD._replace(text=text)) == []


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
        (GOOD._replace(text=""), "text message must name {firm}"),
        (GOOD._replace(text="{firm}: {what}. Reply STOP"), "must name {my_home}: the home's page"),
        (GOOD._replace(text="{firm}: {my_home} Reply STOP"), "text message must name {what}"),
        (GOOD._replace(text="{firm}: {subject} {my_home}"), "how to end texts"),
        (GOOD._replace(text="{firm}: {what} {my_home} Don’t stop."), "how to end texts"),
        (GOOD._replace(text=f"{TEXT} {{plants}}"), "no field {plants} in the text"),
        (GOOD._replace(text=f"{TEXT} {{color}}"), "no field {color} in the text"),
        (GOOD._replace(text=f"{TEXT} {{"), "alone in the text message"),
        (GOOD._replace(text=f"{TEXT} [Home]({{my_home}})"), "has no buttons"),
        (GOOD._replace(text=f"{TEXT} www.example.org"), "cannot stand in a text message"),
        (GOOD._replace(text=f"{TEXT} Only $5 today"), "16 CFR 316.3"),
        (GOOD._replace(text=TEXT + "." * 600), "at most 600"),
    ],
)
def test_each_fault_is_named(words: Words, said: str) -> None:
    assert said in " ".join(faults("trim-back", words))
