"""A station beside the hall: `unspool record` into a file of its own, in a process of its own."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

# The boards are sped up, and so are the command's links and its hand-overs.
COMMAND = """
import sys
from unspool.cli.entry import run
from unspool.instrument.link import Link
from unspool.store.copying import hand_over
Link.pace = float(sys.argv[1])
hand_over.HandOver.__init__.__defaults__ = (hand_over.PAUSE_S / Link.pace,)
sys.exit(run(sys.argv[2:]))
"""
ENDS_S = 60.0


class Station:
    """Records ports, each with the car of its file, and hands over to a shared store."""

    def __init__(
        self, folder: Path, ports: Sequence[str], cars: Sequence[Path], shared: str, speed: float
    ) -> None:
        self.store = folder / "station.sqlite"
        which = [word for port in ports for word in ("--cable", port)]
        whose = [word for car in cars for word in ("--car", str(car))]
        places = ["--store", str(self.store), "--hand-over", shared]
        words = ["record", *which, *whose, *places, "--no-page"]
        self._command = [sys.executable, "-c", COMMAND, str(speed), *words]
        self._log = folder / "station.log"
        self.begin()

    def begin(self) -> None:
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(
                self._command, stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT
            )

    def kill(self) -> None:
        self._process.kill()
        self._process.wait()

    def end(self) -> str:
        """As by Ctrl-C: it hands over what is left. Returns all that it said."""
        self._process.send_signal(signal.SIGINT)
        assert self._process.wait(ENDS_S) in (0, 130), self.said
        return self.said

    @property
    def said(self) -> str:
        return self._log.read_text()

    def close(self) -> None:
        if self._process.poll() is None:
            os.kill(self._process.pid, signal.SIGKILL)
            self._process.wait()
