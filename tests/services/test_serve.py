"""make run, for real: it comes up, mends itself, refuses what it must and leaves nothing behind."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

import pytest

from shared.supervisor import wait_for
from tests.published import ROOT
from tests.services.app import App, installation
from tests.services.servers import PATIENCE, answers, free_port, process

pytestmark = [pytest.mark.services, pytest.mark.xdist_group("services")]


class Served:
    def __init__(self, running: subprocess.Popen[bytes], port: int) -> None:
        self.running = running
        self.port = port

    def healthy(self) -> bool:
        try:
            with urlopen(f"http://127.0.0.1:{self.port}/health/", timeout=5) as page:
                return bool(page.read() == b"ok\n")
        except OSError:
            return False

    def child(self, word: str) -> int | None:
        """Return the process number of the parent's child with that word in its command."""
        parent = self.running.pid
        children = Path(f"/proc/{parent}/task/{parent}/children").read_text().split()
        commands = {number: Path(f"/proc/{number}/cmdline") for number in map(int, children)}
        for number, command in commands.items():
            if command.exists() and word in command.read_text().replace("\0", " "):
                return number
        return None


CHILDREN = ("valkey", "gunicorn", " worker ", " beat ")


@contextmanager
def serving(app: App) -> Iterator[Served]:
    port = free_port()
    with process(
        [sys.executable, "manage.py", "serve"],
        ready=lambda: answers(port),
        env={**app.environment, "PORT": str(port)},
        cwd=ROOT,
    ) as running:
        served = Served(running, port)
        assert wait_for(lambda: all(map(served.child, CHILDREN)), PATIENCE)
        yield served


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> App:
    """An installation with nothing but the defaults: SQLite and the broker of its own."""
    return installation(tmp_path_factory.mktemp("served") / "var")


@pytest.fixture(scope="module")
def served(app: App) -> Iterator[Served]:
    with serving(app) as served:
        yield served


@pytest.fixture
def prepared(served: Served, app: App, make_app: Callable[..., App], migrated_file: Path) -> App:
    """A second installation that has its tables and static files: they are most of a start."""
    other = make_app()
    var = Path(other.environment["VAR_DIR"])
    shutil.copytree(Path(app.environment["VAR_DIR"]) / "static", var / "static")
    shutil.copy(migrated_file, var)
    return other


def lives(number: int) -> bool:
    return Path(f"/proc/{number}").exists()


def test_starts_again_what_was_killed(served: Served) -> None:
    before = {word: served.child(word) or 0 for word in CHILDREN}
    for number in before.values():
        os.kill(number, signal.SIGKILL)

    def all_new() -> bool:
        return all(served.child(word) not in {None, before[word]} for word in CHILDREN)

    assert wait_for(all_new, PATIENCE)
    assert wait_for(served.healthy, PATIENCE)


def test_refuses_a_second_start_from_one_folder(app: App, served: Served) -> None:
    second = app.run("manage.py", "serve")

    assert second.returncode == 2
    assert "runs already from this folder" in second.stderr


def test_refuses_a_taken_port(served: Served, make_app: Callable[..., App]) -> None:
    other = make_app(PORT=str(served.port)).run("manage.py", "serve")

    assert other.returncode == 2
    assert f"Port {served.port} on 127.0.0.1 cannot be used" in other.stderr


def test_leaves_nothing_behind(prepared: App) -> None:
    with serving(prepared) as served:
        assert wait_for(served.healthy, PATIENCE)
        numbers = [served.child(word) or 0 for word in CHILDREN]

    assert served.running.returncode == 0
    assert [number for number in numbers if lives(number)] == []


def test_children_do_not_outlive_a_killed_parent(prepared: App) -> None:
    with serving(prepared) as served:
        numbers = [served.child(word) or 0 for word in CHILDREN]

        served.running.kill()

        assert wait_for(lambda: not any(map(lives, numbers)), PATIENCE)
