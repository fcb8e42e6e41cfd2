import os
from pathlib import Path

import pytest
from django.core.management import call_command

from shared import firststart
from shared.models import User
from tests.factories import make_user

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_var(settings, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    settings.VAR_DIR = tmp_path


def test_makes_one_person_of_each_role_and_keeps_the_passwords_to_itself(tmp_path: Path) -> None:
    firststart.make_sign_ins(["office", "tech", "owner"])

    made = firststart.sign_ins()
    assert [(role, name) for role, name, _ in made] == [
        ("office", "office"),
        ("tech", "tech"),
        ("owner", "owner"),
    ]
    assert len({password for _, _, password in made}) == 3
    assert (tmp_path / "first-sign-ins.txt").stat().st_mode & 0o777 == 0o600


def test_takes_everybody_who_holds_the_role_already() -> None:
    for name in ("wren", "lark"):
        make_user(role="tech", username=name)

    firststart.make_sign_ins(["tech"])

    assert [name for _, name, _ in firststart.sign_ins()] == ["wren", "lark"]


def test_only_the_owner_keeps_accounts() -> None:
    firststart.make_sign_ins(["office", "tech", "owner"])

    keepers = User.objects.filter(is_superuser=True)
    assert [user.username for user in keepers] == ["owner"]


def test_forgets_a_password_once_it_was_changed() -> None:
    firststart.make_sign_ins(["office", "owner"])
    office = User.objects.get(username="office")
    office.set_password("another one altogether")
    office.save()

    assert [name for _, name, _ in firststart.sign_ins()] == ["owner"]


def test_collects_static_files_again_only_when_one_changed(settings, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    source, collected = tmp_path / "source", tmp_path / "collected"
    source.mkdir()
    (source / "new.css").write_text("body { color: black; }")
    settings.STATICFILES_DIRS = [source]
    settings.STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
    settings.STATIC_ROOT = collected
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
    }
    assert not firststart.static_files_are_fresh()

    call_command("collectstatic", interactive=False, verbosity=0)
    assert firststart.static_files_are_fresh()

    later = (collected / "staticfiles.json").stat().st_mtime + 1
    os.utime(source / "new.css", (later, later))
    assert not firststart.static_files_are_fresh()
