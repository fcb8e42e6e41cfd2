"""One parent over several processes: starts them, restarts one that dies, stops them all.

Each child leads a session of its own, so that Ctrl-C reaches only the parent, which then stops
them in turn. Should the parent be killed outright, the kernel stops the children for it.
Signals go only to processes that this parent started and has not yet buried.
"""

import ctypes
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from threading import Event
from time import monotonic

TICK = 0.2  # seconds between two looks at the children
FIRST_PAUSE = 0.5  # seconds before the first restart; each further one waits twice as long
LONGEST_PAUSE = 30.0
STEADY = 60.0  # a child that lived so long begins again with the first pause
PATIENCE = 20.0  # seconds from the request to stop until a child is killed
PR_SET_PDEATHSIG = 1  # prctl(2)
LIBC = ctypes.CDLL(None)


@dataclass(frozen=True, slots=True)
class Program:
    """What to run under which name; ready says, where given, when the next may start."""

    name: str
    command: Sequence[str]
    environment: Mapping[str, str] = field(default_factory=dict)
    pass_fds: tuple[int, ...] = ()
    ready: Callable[[], bool] | None = None


def _stop_with_the_parent() -> None:
    if sys.platform == "linux":
        LIBC.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


class Child:
    """One program, its process while it lives, and when it may be started again."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.process: subprocess.Popen[bytes] | None = None
        self.pause = FIRST_PAUSE
        self.started_at = self.start_again_at = 0.0

    def start(self) -> None:
        self.started_at = monotonic()
        self.process = subprocess.Popen(  # noqa: S603  # our own fixed commands
            self.program.command,
            env={**os.environ, **self.program.environment},
            pass_fds=self.program.pass_fds,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=_stop_with_the_parent,  # noqa: PLW1509  # this parent has one thread
        )

    def has_died(self) -> bool:
        """Whether the process has ended; it stays unburied, so that its number stays ours."""
        if self.process is None:
            return False
        how = os.WEXITED | os.WNOHANG | os.WNOWAIT
        return os.waitid(os.P_PID, self.process.pid, how) is not None

    def bury(self) -> int:
        """Kill what is left of the child and its own children; return its exit status."""
        if self.process is None:
            return 0
        os.killpg(self.process.pid, signal.SIGKILL)
        status = self.process.wait()
        self.process = None
        return status

    def tend(self) -> str:
        """Restart the child where it has died and its pause is over; return what to tell."""
        now = monotonic()
        if self.has_died():
            self.pause = FIRST_PAUSE if now - self.started_at > STEADY else self.pause
            status, pause = self.bury(), self.pause
            self.start_again_at = now + pause
            self.pause = min(2 * pause, LONGEST_PAUSE)
            return f"{self.program.name} ended ({status}); it starts again in {pause:g} s."
        if self.process is None and now >= self.start_again_at:
            self.start()
        return ""

    def stop(self) -> None:
        """Ask the process to end, and end it after PATIENCE seconds."""
        if self.process is not None:
            self.process.terminate()
            wait_for(self.has_died, PATIENCE)
            self.bury()


def wait_for(answer: Callable[[], bool], seconds: float) -> bool:
    """Return True as soon as the answer is yes, False after so many seconds."""
    end, nap = monotonic() + seconds, Event()
    while not answer():
        if monotonic() > end:
            return False
        nap.wait(0.02)
    return True


def supervise(programs: Sequence[Program], tell: Callable[[str], None]) -> None:
    """Keep the programs running until SIGINT, SIGTERM or SIGHUP; then stop them, last first."""
    asked_to_stop = Event()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda *_: asked_to_stop.set())
    children = [Child(program) for program in programs]
    try:
        for child in children:
            child.start()
            if child.program.ready and not wait_for(child.program.ready, PATIENCE):
                tell(f"{child.program.name} is slow to answer.")
        while not asked_to_stop.wait(TICK):
            for news in filter(None, [child.tend() for child in children]):
                tell(news)
    finally:
        for child in reversed(children):
            child.stop()
