"""One command line, run in a forked child through the command's own entry, and what it used.

A fork of a process that has imported everything starts in milliseconds. It is still a process of
its own: its streams are real files, a signal kills it alone, and the kernel counts what it uses.
"""

from __future__ import annotations

import faulthandler
import gc
import importlib
import os
import pkgutil
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import unspool
from unspool.cli.entry import run
from unspool.cli.stopping import hide_interrupts
from unspool.cli.streams import prepare

MOST_CPU_S = 20
PATIENCE_S = 120.0  # of waiting: the machine may be loaded
MOST_ADDRESSES = 8 * 2**30  # bytes: a case that grows without bound must not take the machine down
MOST_OUTPUT = 4 * 2**20
LOOK_S = 0.002
DUMP_S = 0.5  # for a command that hangs to say where
# The app takes a second to import and no file or argument reaches it.
# the last is run by Alembic alone
NOT_NEEDED = ("unspool.app", "unspool.__main__", "unspool.store.steps.env")


@dataclass(frozen=True)
class Done:
    """status: as a shell gives it, negative for a signal. peak_mb: resident, with all imports."""

    arguments: tuple[str, ...]
    status: int
    out: str
    err: str
    cpu_s: float
    peak_mb: float
    in_time: bool = True


def import_everything() -> None:
    """Before the first fork, so that no child has to."""
    for module in pkgutil.walk_packages(unspool.__path__, "unspool."):
        if not module.name.startswith(NOT_NEEDED):
            importlib.import_module(module.name)
    gc.collect()
    gc.freeze()


def ask(arguments: list[str], place: Path, before: Callable[[], None] | None = None) -> Done:
    """Runs one command line with `place` as folder and home, and waits for its end."""
    return Started(arguments, place, before=before).wait()


class Started:
    """A command under way. before: called in the child, to take something from it first."""

    def __init__(
        self,
        arguments: list[str],
        place: Path,
        *,
        before: Callable[[], None] | None = None,
        cpu_s: int = MOST_CPU_S,
    ) -> None:
        self._arguments, self._cpu_s = tuple(arguments), cpu_s
        number = len(list(place.glob("*.err")))
        self.out, self.err = place / f"{number}.out", place / f"{number}.err"
        self.out.touch()
        self.err.touch()
        ready, tell = os.pipe()
        self.pid = os.fork()
        if self.pid == 0:
            _child(arguments, place, (self.out, self.err), before, cpu_s, tell)
        os.close(tell)
        os.read(ready, 1)  # a signal from here on meets the command, not what is around it
        os.close(ready)

    @property
    def said(self) -> bool:
        """Whether the command has printed anything."""
        return self.out.stat().st_size + self.err.stat().st_size > 0

    def signal(self, number: int) -> None:
        os.kill(self.pid, number)

    def wait(self, patience_s: float = PATIENCE_S) -> Done:
        """Kills the command when it does not end in time, once it has said where it is."""
        end, in_time = time.monotonic() + patience_s, True
        while True:
            pid, status, used = os.wait4(self.pid, os.WNOHANG)
            if pid:
                break
            if in_time and time.monotonic() > end:
                in_time = False
                self.signal(signal.SIGUSR1)
                time.sleep(DUMP_S)
                self.signal(signal.SIGKILL)
            time.sleep(LOOK_S)
        return Done(
            self._arguments,
            os.waitstatus_to_exitcode(status),
            _text(self.out),
            _text(self.err),
            used.ru_utime + used.ru_stime,
            used.ru_maxrss / 1024,
            in_time,
        )


def _child(
    arguments: list[str],
    place: Path,
    streams: tuple[Path, Path],
    before: Callable[[], None] | None,
    cpu_s: int,
    tell: int,
) -> None:
    status = 1
    try:
        _settle(place, streams, cpu_s)
        if before is not None:
            before()
        prepare()
        hide_interrupts()
        os.close(tell)
        status = run(arguments)
        sys.stdout.flush()
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(status)


def _settle(place: Path, streams: tuple[Path, Path], cpu_s: int) -> None:
    """Streams, folders, limits and signals as a shell would give them."""
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for number, path in enumerate(streams, 1):
        os.dup2(os.open(path, os.O_WRONLY | os.O_APPEND), number)
    sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
    sys.stderr = os.fdopen(2, "w", encoding="utf-8", closefd=False, buffering=1)
    os.chdir(place)
    home = {"HOME": ".", "XDG_DATA_HOME": "data", "XDG_STATE_HOME": "state"}
    os.environ.update({name: str(place / part) for name, part in home.items()})
    os.environ.update(COLUMNS="100", BROWSER="true")
    # one second more: what is over the bound is then seen in what was used
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s + 1, cpu_s + 2))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    faulthandler.register(signal.SIGUSR1, all_threads=True)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


def _text(path: Path) -> str:
    with path.open("rb") as file:
        return file.read(MOST_OUTPUT).decode("utf-8", "replace")
