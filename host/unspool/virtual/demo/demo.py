"""The demo: a virtual car and board behind a link, and what really happened in its runs."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from unspool.closing import Closing
from unspool.errors import InputError
from unspool.instrument.link import Link
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal, has_terminals
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER
from unspool.virtual.demo.wheel_script import WheelScript, Windings, wheel_script

Board = Literal["python", "firmware"]


@dataclass(frozen=True)
class Demo(Closing):
    """A board that is running; close it when done, or use it in a `with` block.

    `link`: for a recorder, not yet opened. `car_text`, `track_text`: the scenario's files.
    """

    link: Link
    script: WheelScript
    car_text: str
    track_text: str
    _now_s: Callable[[], float]
    _open: ExitStack

    @property
    def finished(self) -> bool:
        """Whether all runs are over and the last car has stood still for a while."""
        return self._now_s() >= self.script.end_s

    def close(self) -> None:
        self._open.close()


def start(
    board: Board = "python",
    speed: float = 1.0,
    runs: int = 1,
    car: Path = SANDPIPER,
    track: Path = CORRIDOR,
    seed: int = 1,
    windings: Windings = (),
) -> Demo:
    """Powers a board on and lets its car run `runs` times, wound by `windings` in turn.

    `python` speaks the protocol from this process; `firmware` is the real program on a simulated
    chip, in real time only. Raises LinkError if the firmware cannot be built, and InputError for a
    speed that is not above 0, or not 1 with the firmware.
    """
    from unspool.car import load_car, load_track

    if not speed > 0 or (board == "firmware" and speed != 1.0):
        raise InputError(
            f"the demo's speed is {speed:g}; expected a number above 0, and 1 with the firmware"
        )
    script = wheel_script(load_car(car), load_track(track), runs, seed, windings=windings)
    with ExitStack() as opened:
        link, now_s = (
            _firmware(script, opened) if board == "firmware" else _python(script, speed, opened)
        )
        kept = opened.pop_all()
    return Demo(link, script, car.read_text("utf-8"), track.read_text("utf-8"), now_s, kept)


def _python(
    script: WheelScript, speed: float, opened: ExitStack
) -> tuple[Link, Callable[[], float]]:
    line, link = _line()
    opened.callback(line.close)
    slots = script.truths[0].car.encoder.pulses_per_turn
    link.pace = speed
    playing = VirtualBoard(line, script.edges, speed, slots)
    playing.start()
    opened.callback(playing.stop)
    started = time.monotonic()
    return link, lambda: (time.monotonic() - started) * speed


def _line() -> tuple[PseudoTerminal | Pipe, Link]:
    if has_terminals():
        terminal = PseudoTerminal()
        return terminal, SerialLink(terminal.port)
    pipe = Pipe()
    return pipe, VirtualLink(pipe)


def _firmware(script: WheelScript, opened: ExitStack) -> tuple[Link, Callable[[], float]]:
    from unspool.virtual.demo.simulated_chip import SimulatedBoard

    simulated = opened.enter_context(SimulatedBoard())
    simulated.feed(script.edges)
    return SerialLink(simulated.port), lambda: simulated.time_s
