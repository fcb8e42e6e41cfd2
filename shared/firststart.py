"""What happens before the first page is served: tables, static files, demo, somebody to sign in."""

import json
import os
import secrets
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import Group
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command, get_commands

from shared.models import User
from shared.roles import ROLES

FILE = "first-sign-ins.txt"


def prepare() -> None:
    """Bring tables and static files up to date; fill an installation that has nobody in it."""
    call_command("migrate", interactive=False, verbosity=0)
    if not static_files_are_fresh():
        call_command("collectstatic", interactive=False, verbosity=0)
    if User.objects.exists():
        return
    if settings.DEMO and "load_demo" in get_commands():
        call_command("load_demo")
    make_sign_ins(list(ROLES) if settings.DEMO else ["owner"])


def static_files_are_fresh() -> bool:
    """Whether the collected files are those of the sources: compressing them takes seconds."""
    sources = {
        path: Path(storage.path(path))
        for finder in get_finders()
        for path, storage in finder.list([])
    }
    manifest = Path(settings.STATIC_ROOT) / "staticfiles.json"
    if not manifest.exists() or set(json.loads(manifest.read_text())["paths"]) != set(sources):
        return False
    return max(path.stat().st_mtime for path in sources.values()) < manifest.stat().st_mtime


def make_sign_ins(roles: list[str]) -> None:
    """Give each person of these roles a password and keep them in a file that only we can read."""
    made = [
        f"{role} {user.username} {_give_password(user)}" for role in roles for user in _people(role)
    ]
    path = settings.VAR_DIR / FILE
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w") as file:
        file.write("\n".join(made) + "\n")


def sign_ins() -> list[tuple[str, str, str]]:
    """Return role, name and password of the first people while the password still is theirs."""
    path = settings.VAR_DIR / FILE
    lines = path.read_text().splitlines() if path.exists() else []
    people = [(role, name, password) for role, name, password in map(str.split, lines)]
    users = {
        user.username: user for user in User.objects.filter(username__in=[p[1] for p in people])
    }
    return [
        person
        for person in people
        if person[1] in users and users[person[1]].check_password(person[2])
    ]


def _people(role: str) -> list[User]:
    """Return the active people of the role, one made where there is none."""
    people = list(User.objects.filter(groups__name=role, is_active=True).order_by("pk"))
    if not people:
        people = [User.objects.create(username=role, email=f"{role}@example.com")]
        people[0].groups.add(Group.objects.get(name=role))
    return people


def _give_password(user: User) -> str:
    password = secrets.token_urlsafe(12)
    user.set_password(password)
    if user.groups.filter(name="owner").exists():
        user.is_staff = user.is_superuser = True  # the owner keeps accounts
    user.save()
    return password
