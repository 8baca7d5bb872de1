"""The real firmware on a simulated chip, behind a pseudo-terminal, in real time.

    with SimulatedBoard() as board:
        start = board.time_s + 0.5
        board.feed((start + t, direction) for t, direction in edges)
        Serial(board.port, 115200) ...

It ends with this process, however that ends: the board stops when its input closes.
"""

from __future__ import annotations

import subprocess
import time
from collections.abc import Iterable
from pathlib import Path
from typing import IO

from unspool.closing import Closing
from unspool.errors import LinkError
from unspool.instrument.firmware.boards import ATMEGA328P
from unspool.instrument.firmware.build import build_firmware

CLOSING_S = 5.0  # time to write its report; after that it hangs


class SimulatedBoard(Closing):
    """`eeprom` keeps the boot number from one board to the next; without it each board is new.

    - board: its name in firmware/boards/.
    - elf: another firmware than the board's own.
    - dtr: opening the port resets the board, as it does on most.
    - rate: who opens the port at another rate hears garbage, as on a cable.
    """

    def __init__(
        self,
        eeprom: Path | None = None,
        battery_mv: int = 5000,
        dtr: bool = False,
        rate: bool = False,
        elf: Path | None = None,
        board: str = ATMEGA328P.name,
    ) -> None:
        self._board, self._elf = board, elf
        self._options = [f"--board={board}", f"--battery={battery_mv}"]
        if dtr:
            self._options.append("--dtr")
        if rate:
            self._options.append("--rate")
        if eeprom is not None:
            self._options.append(f"--eeprom={eeprom}")
        self._process: subprocess.Popen[str] | None = None
        self._started_s = 0.0
        self.port = ""
        self.report: dict[str, int] = {}  # what the run cost, once it has ended

    def __enter__(self) -> SimulatedBoard:
        """Raises LinkError if the firmware cannot be built, or the board does not start."""
        built = build_firmware(self._board)
        self._started_s = time.monotonic()
        self._process = subprocess.Popen(
            [built.virtual_board, "--real", *self._options, self._elf or built.program],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        word, _, self.port = _output(self._process).readline().strip().partition(" ")
        if word != "pty":
            self.close()
            raise LinkError(
                "The simulated board did not start: try "
                f"`{built.virtual_board} --real {built.program}` to see why"
            )
        return self

    @property
    def time_s(self) -> float:
        """Seconds since the board's power came on."""
        return time.monotonic() - self._started_s

    def feed(self, edges: Iterable[tuple[float, int]]) -> None:
        """Turn the wheel: (time_s, direction 1 or -1) of each edge of sensor A, in order.

        Times are since power-on; edges in the past happen at once. Blocks while more than some ten
        thousand edges wait. Raises LinkError if the board has ended.
        """
        lines = (f"{t * 1e6:.4f} {'+' if direction > 0 else '-'}\n" for t, direction in edges)
        self._say("".join(lines))

    def show(self, pins: Iterable[tuple[float, str]]) -> None:
        """Set both sensors: (time_s, levels of A and B as in "10") of each change, in order."""
        self._say("".join(f"{t * 1e6:.4f} pins {levels}\n" for t, levels in pins))

    def reset(self, cause: str = "external") -> None:
        """`cause` is external, power or brownout."""
        self._say(f"now reset {cause}\n")

    def hang(self) -> None:
        """Let the program run into an endless loop; its watchdog resets it."""
        self._say("now hang\n")

    def set_battery(self, millivolts: int) -> None:
        self._say(f"now battery {millivolts}\n")

    def close(self) -> None:
        """End the board and read its report. Harmless when it has ended already."""
        if self._process is None:
            return
        process, self._process = self._process, None
        try:
            said, _ = process.communicate(timeout=CLOSING_S)
        except subprocess.TimeoutExpired:
            process.kill()
            said, _ = process.communicate()
        for line in said.splitlines():
            if line.startswith("report "):
                _, name, value = line.split()
                self.report[name] = int(value)

    def _say(self, lines: str) -> None:
        if self._process is None or self._process.stdin is None:
            raise LinkError("The simulated board is not running: enter its `with` block first")
        try:
            self._process.stdin.write(lines)
            self._process.stdin.flush()
        except OSError as error:
            raise LinkError("The simulated board has ended") from error


def _output(process: subprocess.Popen[str]) -> IO[str]:
    assert process.stdout is not None  # it was asked for as a pipe
    return process.stdout
