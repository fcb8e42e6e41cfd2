"""Work done at the same moment, each piece on a database connection of its own."""

import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

from django.db import connection


def as_in_the_field(folder: Path) -> Path:
    """Copy the tests' SQLite database in memory to a file, as in the field; a server stays."""
    path = folder / "field.sqlite3"
    if connection.vendor == "sqlite":
        copy = sqlite3.connect(path)
        connection.connection.backup(copy)
        copy.close()
    return path


def in_threads(work: list[Callable[[], None]], database: Path) -> None:
    """Run all at once, each on a connection of its own."""
    gate = threading.Barrier(len(work))

    def run(task: Callable[[], None]) -> None:
        if connection.vendor == "sqlite":
            connection.settings_dict = {**connection.settings_dict, "NAME": str(database)}
        try:
            gate.wait(timeout=20)
            task()
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(task,)) for task in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
