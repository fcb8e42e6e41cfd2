"""Crews read their own language: the account's, whatever the browser asks for."""

import ast
import gettext
import re
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from django.utils.translation.template import templatize

from jobs.models import Crew
from tests.factories import (
    NOON,
    make_booking,
    make_callback,
    make_crew,
    make_fitted_detail,
    make_home,
    make_job,
    make_user,
)

QUOTED = r"""u?'(?:[^'\\]|\\.)*'|u?"(?:[^"\\]|\\.)*\""""
SPANISH = settings.BASE_DIR / "shared" / "locale" / "es" / "LC_MESSAGES"


@pytest.fixture
def ines(db: None) -> Client:
    """A tech who reads Spanish, in a browser that asks for English."""
    user = make_user(role="tech", username="ines", language="es")
    make_crew(name="South crew").members.add(user)
    client = Client(headers={"accept-language": "en"})
    client.force_login(user, backend="shared.signin.StaffBackend")
    return client


def test_the_round_is_in_spanish(ines: Client) -> None:
    crew = Crew.objects.get()
    job = make_job(home=make_home(), stage="booked", crew=crew)
    make_booking(
        crew=crew, home=job.home, job=job, starts_at=NOON, ends_at=NOON + timedelta(hours=2)
    )

    with time_machine.travel(NOON, tick=False):
        page = ines.get("/round/").content.decode()

    assert '<html lang="es">' in page
    assert "Ronda, lunes 2 de marzo" in page
    assert "12:00" in page
    assert "Ya llegamos" in page
    assert "instalación" in page
    assert "Antes de subir, cortar o sellar" in page
    assert not re.search(r"Round|We are here|to come|Sign out", page)


def test_a_fitting_and_its_refusals_are_in_spanish(ines: Client) -> None:
    job = make_job(home=make_home(), stage="booked", crew=Crew.objects.get())
    make_fitted_detail(job=job, photographs=0)

    page = ines.get(f"/jobs/{job.number}/fitting/").content.decode()
    refused = ines.post(f"/jobs/{job.number}/fitting/proof/").content.decode()

    assert "Collarín de PTFE" in page
    assert "Aún sin fotografía: Collarín de PTFE" in page
    assert "firme" in page
    assert "la comprobación sigue a una instalación terminada" in refused


def test_a_callback_is_in_spanish(ines: Client) -> None:
    page = ines.get(make_callback().get_absolute_url()).content.decode()

    assert "Llamada de garantía" in page
    assert "contacto de planta" in page
    assert "¿" in ines.get("/callbacks/new/").content.decode()


def test_another_keeps_english(tech: Client) -> None:
    page = tech.get("/round/", headers={"accept-language": "es"}).content.decode()

    assert '<html lang="en">' in page
    assert "Round" in page


def test_every_sentence_is_translated_and_compiled() -> None:
    source = (SPANISH / "django.po").read_text()
    with (SPANISH / "django.mo").open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    entry = r'^(?:msgctxt "(.*)"\n)?msgid ("(?:.*"\n)+)msgstr ("(?:.*"\n)+)'
    found = re.findall(entry, f"{source}\n", re.MULTILINE)[1:]
    texts = [(context, _unquoted(text), _unquoted(said)) for context, text, said in found]

    assert len(texts) > 400
    assert [text for _context, text, said in texts if not said] == []
    for context, text, said in texts:
        known = compiled.pgettext(context, text) if context else compiled.gettext(text)
        assert known == said
    assert "#, fuzzy" not in source


def test_every_marked_sentence_is_in_the_catalogue() -> None:
    with (SPANISH / "django.mo").open("rb") as file:
        known = set(gettext.GNUTranslations(file)._catalog)  # type: ignore[attr-defined]  # noqa: SLF001
    known = {key[0] if isinstance(key, tuple) else key for key in known}

    found = {text for path in marked_files() for text in marked(path)}

    assert len(found) > 400
    assert found - known == set()


def marked_files() -> list[Path]:
    apps = ("shared", "customers", "jobs", "warranties")
    code = [path for app in apps for path in (settings.BASE_DIR / app).rglob("*.py")]
    return [*code, *(settings.BASE_DIR / "templates").rglob("*.html")]


def marked(path: Path) -> set[str]:
    """The sentences that a file marks for translation, as makemessages would find them."""
    text = path.read_text()
    if path.suffix == ".html":
        called = re.findall(
            r"\bn?gettext\((u?'(?:[^'\\]|\\.)*'|u?\"(?:[^\"\\]|\\.)*\")", templatize(text)
        )
        return {str(ast.literal_eval(each)) for each in called}
    calls = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call)]
    return {
        str(call.args[0].value)
        for call in calls
        if isinstance(call.func, ast.Name)
        and call.func.id in {"_", "gettext", "gettext_lazy", "gettext_noop", "ngettext"}
        and call.args
        and isinstance(call.args[0], ast.Constant)
    }


def _unquoted(lines: str) -> str:
    whole = "".join(re.findall(r'"(.*)"', lines))
    return re.sub(r"\\(.)", lambda found: {"n": "\n"}.get(found[1], found[1]), whole)
