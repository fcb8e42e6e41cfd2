"""The house keeps its shape: what the import linter cannot see is held here."""

import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db.models.fields.related import RelatedField

from tests.published import ROOT

APPS = ("shared", "customers", "jobs", "warranties")  # from the ground up
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "Makefile",
    "manage.py",
    "pyproject.toml",
    "requirements.lock",
    "fixtures",
    "templates",
    "tests",
    *APPS,
}
LONGEST = 400  # lines
# A row of the ledger has a column named promise; it is no model.
READS_A_COLUMN = {"jobs/views/ledger.py reads .promise", "jobs/tables.py reads .promise"}
LARGE = {"aiohttp", "ezdxf", "openpyxl", "pyhanko", "scipy", "weasyprint"}
NOT_OURS = re.compile(r"/(vendor|fonts|migrations)/")


def kept_files() -> list[str]:
    listing = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split("\n")
    return [name for name in listing if name and (ROOT / name).exists()]


def contracts() -> dict[str, Any]:
    config = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]
    return {contract["name"]: contract for contract in config["contracts"]}


def test_the_top_holds_what_is_listed_and_nothing_else() -> None:
    top = {name.split("/")[0] for name in kept_files()}

    assert {name for name in top if not name.startswith(".")} == TOP


def test_no_file_is_long() -> None:
    long = {
        name
        for name in kept_files()
        if re.search(r"\.(py|html|css|js|txt)$", name) and not NOT_OURS.search(name)
        if len((ROOT / name).read_text().splitlines()) > LONGEST
    }

    assert long == set()


def test_every_test_is_collected() -> None:
    lost = [
        name
        for name in kept_files()
        if name.startswith("tests/") and name.endswith(".py")
        if re.search(r"^(async )?def test_", (ROOT / name).read_text(), re.MULTILINE)
        if not name.rpartition("/")[2].startswith("test_")
        or not (ROOT / name).with_name("__init__.py").exists()
    ]

    assert lost == []


def test_tests_of_real_servers_share_them() -> None:
    mark = 'pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]'

    apart = {"test_same_on_postgresql.py"}  # It runs beside the others.
    for path in (ROOT / "tests" / "services").glob("test_*.py"):
        assert mark in path.read_text() or path.name in apart, path.name


def test_every_pure_module_is_kept_from_the_framework() -> None:
    layers = contracts()["Inside an app, the outside depends on the inside"]["layers"]
    kept = contracts()["Computation knows no framework"]["source_modules"]
    pure = {
        f"{app}.{name}"
        for app in APPS[1:]
        for name in re.findall(r"\w+", layers[-1])
        if (ROOT / app / name).is_dir() or (ROOT / app / f"{name}.py").exists()
    }

    assert pure == {name for name in kept if not name.startswith("shared.")}


def is_pure(path: Path) -> bool:
    """Whether the module is kept from the framework, and so from every model."""
    module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    pure = contracts()["Computation knows no framework"]["source_modules"]
    return any(module == name or module.startswith(f"{name}.") for name in pure)


def relations() -> Iterator[tuple[str, str, RelatedField]]:
    """The foreign keys among our apps: from which app, to which, and the field."""
    for app in APPS:
        for model in apps.get_app_config(app).get_models():
            for field in model._meta.get_fields():  # noqa: SLF001
                if isinstance(field, RelatedField):
                    to = field.remote_field.model._meta.app_label  # noqa: SLF001
                    if to in APPS:
                        yield app, to, field


def test_no_foreign_key_points_up() -> None:
    up = [str(field) for app, to, field in relations() if APPS.index(to) > APPS.index(app)]

    assert up == []


def test_no_app_reads_back_along_a_foreign_key_from_above() -> None:
    read = {
        f"{path.relative_to(ROOT)} reads .{name}"
        for app, to, field in relations()
        if app != to and not field.remote_field.hidden
        for name in [field.remote_field.get_accessor_name()]
        for path in (ROOT / to).rglob("*.py")
        if not is_pure(path)
        if re.search(rf"\.{name}\b", path.read_text())
    }

    assert read <= READS_A_COLUMN


def test_a_start_leaves_large_engines_to_who_needs_them(tmp_path: Path) -> None:
    """Each worker, web process and command starts in half the time and memory without them."""
    code = (
        "import sys, django; django.setup(); import shared.urls\n"
        f"print(*sorted({LARGE} & set(sys.modules)))"
    )

    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "VAR_DIR": str(tmp_path)},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.strip() == ""
