"""The programs of a contest, which can be killed at any moment, and a judge who goes on."""

from __future__ import annotations

import json
import signal
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from threading import Lock
from typing import Any, Self

from app_parts import car_text
from database_server import DatabaseServer, lives
from hard.asking import Started
from hard.recording.recorders import STOPPED
from hard.rule import broken
from unspool.closing import Closing
from unspool.store import Place, Server

PATIENCE_S = 180.0
LOOK_S = 0.05
CPU_S = 120
# The system gives the number of a pseudo-terminal again, and another test may still look for it.
TAKEN = "is in use by another program"
RECORDER, APP, DATABASE = "recorder", "app", "database"


def waited(what: Callable[[], Any], why: str) -> Any:
    """What it returns, as soon as that is something."""
    end = time.monotonic() + PATIENCE_S
    while not (found := what()):
        assert time.monotonic() < end, f"waited in vain for {why}"
        time.sleep(LOOK_S)
    return found


class Hall(Closing):
    """Recorder and app are processes of their own on one store.

    `kill` starts again what it kills, and `tend` what could not start without the database.
    """

    def __init__(
        self,
        folder: Path,
        place: Place,
        ports: Sequence[str],
        cars: Iterable[str],
        server: DatabaseServer | None,
    ) -> None:
        self._folder, self._server, self._port = folder, server, _free_port()
        at = ["--store", place.url if isinstance(place, Server) else str(place)]
        which = [word for port in ports for word in ("--cable", port)]
        for car in cars:
            (folder / f"{car}.toml").write_text(car_text(car))
            which += ["--car", str(folder / f"{car}.toml")]
        self._words = {
            RECORDER: ["record", *which, *at, "--port", "0"],
            APP: ["app", *at, "--port", str(self._port), "--no-browser"],
        }
        self._at_work: dict[str, Started] = {}
        self._lock = Lock()
        self.faults: list[str] = []

    @property
    def victims(self) -> list[tuple[str, ...]]:
        """What can be killed at once."""
        alone = [RECORDER, APP, *([DATABASE] if self._server else [])]
        return [*((one,) for one in alone), tuple(alone)]

    def __enter__(self) -> Self:
        for name in self._words:
            self._start(name)
        return self

    def close(self) -> None:
        for one in self._at_work.values():
            one.signal(signal.SIGKILL)
            one.wait()

    def kill(self, victims: Sequence[str], pause_s: float) -> None:
        with self._lock:
            for name in victims:
                if name == DATABASE and self._server:
                    self._server.kill()
                else:
                    self._at_work[name].signal(signal.SIGKILL)
            for name in set(victims) - {DATABASE}:
                self._at_work.pop(name).wait()
            time.sleep(pause_s)
            for name in reversed(victims):  # the database comes first
                self._start(name)

    def tend(self) -> None:
        with self._lock:
            for name, one in list(self._at_work.items()):
                if TAKEN in one.out.read_text():
                    one.signal(signal.SIGINT)
                elif lives(one.pid):
                    continue
                self.faults += broken(one.wait(), STOPPED)
                self._start(name)

    def end(self) -> None:
        """By Ctrl-C."""
        ending, self._at_work = self._at_work, {}
        for one in ending.values():
            one.signal(signal.SIGINT)
        for one in ending.values():
            self.faults += broken(one.wait(), STOPPED)

    def press(self, **sent: str) -> None:
        """What the judge's page sends, until it is answered."""
        body = json.dumps({"who": "Ada", **sent}).encode()
        address = f"http://127.0.0.1:{self._port}/contest/1/say"

        def answer() -> str:
            self.tend()
            try:
                with urllib.request.urlopen(address, body, 30.0):
                    return "done"
            except urllib.error.HTTPError as error:
                return "" if error.code >= 500 else f"{error.code} {error.read()!r}"
            except OSError:
                return ""

        said = waited(answer, f"an answer to {sent}")
        self.faults += [] if said == "done" else [f"the judge's {sent} was refused: {said}"]

    def _start(self, name: str) -> None:
        if name == DATABASE and self._server:
            self._server.start()
        else:
            self._at_work[name] = Started(self._words[name], self._folder, cpu_s=CPU_S)


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
