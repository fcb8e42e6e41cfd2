"""One installation of Ringkeep in processes of its own, pointed somewhere by its environment."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.published import ROOT
from tests.services.servers import process

SQLITE = "ringkeep.sqlite3"  # in VAR_DIR
OUR_SETTINGS = {"DATABASE_URL", "REDIS_URL", "EMAIL_URL", "BASE_URL", "PORT", "SECRET_KEY", "DEMO"}


@dataclass(frozen=True, slots=True)
class App:
    environment: dict[str, str]

    def run(self, *command: str) -> subprocess.CompletedProcess[str]:
        """Run Python with these arguments in this installation and return how it went."""
        return subprocess.run(
            [sys.executable, *command],
            env=self.environment,
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )

    def manage(self, *arguments: str) -> str:
        """Run a management command and return what it says; fail where it fails."""
        done = self.run("manage.py", *arguments)
        assert done.returncode == 0, f"{' '.join(arguments)}:\n{done.stdout}{done.stderr}"
        return done.stdout

    def python(self, code: str) -> str:
        """Run code with Django set up (tests.factories can be imported); return its output."""
        done = self.run("-c", f"import django; django.setup()\n{code}")
        assert done.returncode == 0, f"{code}\n{done.stdout}{done.stderr}"
        return done.stdout.strip()

    @contextmanager
    def worker(self) -> Iterator[subprocess.Popen[bytes]]:
        """Run a Celery worker. What it is asked for before it is ready waits at the broker."""
        command = [sys.executable, "-m", "celery", "-A", "shared.celery", "worker", "-P", "solo"]
        command += ["--without-gossip", "--without-mingle", "--loglevel", "WARNING"]
        with process(command, ready=lambda: True, env=self.environment, cwd=ROOT) as running:
            yield running


def installation(folder: Path, **environment: str) -> App:
    """Return an installation in that folder, with our settings and no others."""
    folder.mkdir()
    inherited = {name: value for name, value in os.environ.items() if name not in OUR_SETTINGS}
    return App({**inherited, "DEMO": "0", **environment, "VAR_DIR": str(folder)})
