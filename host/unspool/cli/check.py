"""`unspool check`: whether both sensors see the disc."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson
from unspool.cli.streams import console, print_json, to_stderr
from unspool.cli.ways import (
    Cable,
    Radio,
    RadioModule,
    RadioNotify,
    RadioRate,
    RadioResponse,
    RadioService,
    RadioWrite,
    way_to_board,
)
from unspool.finding import Severity

if TYPE_CHECKING:
    from unspool.finding import Finding
    from unspool.instrument.record.sensor_check import CheckProgress
    from unspool.instrument.sensors import SensorVerdict

WRONG = 2  # the sensors, or the wheel that was not turned, are at fault
LAMPS = ("○", "●")


def check(
    cable: Cable = None,
    radio: Radio = None,
    car: Annotated[
        Path | None, typer.Option(help="Car file, for its edges per turn and sensors.")
    ] = None,
    edges: Annotated[
        int | None, typer.Option(min=2, max=65_535, help="Edges per turn, without a car file.")
    ] = None,
    turns: Annotated[
        int | None, typer.Option(min=1, max=100, help="You will turn the wheel exactly this often.")
    ] = None,
    seconds: Annotated[float, typer.Option(min=5, max=3600, help="Longest time to watch.")] = 60.0,
    radio_service: RadioService = None,
    radio_notify: RadioNotify = None,
    radio_write: RadioWrite = None,
    radio_rate: RadioRate = None,
    radio_response: RadioResponse = None,
    as_json: AsJson = False,
) -> int:
    """Turn the wheel by hand, and see whether both sensors see the disc."""
    from unspool.car import parse_car
    from unspool.car.toml_source import read_text
    from unspool.instrument.record.sensor_check import check_sensors, enough_changes
    from unspool.instrument.sensors import judge
    from unspool.render.json.sensors import sensors_json

    encoder = None if car is None else parse_car(read_text(car), str(car)).encoder
    expected = edges or (encoder.pulses_per_turn if encoder else None)
    sensors = encoder.sensors if encoder else 2
    wanted = enough_changes(turns, expected, sensors)
    module = RadioModule(radio_service, radio_notify, radio_write, radio_rate, radio_response)
    board = way_to_board(cable, radio, module)
    _say(as_json, _request(turns))
    with _display(as_json) as show:
        samples = check_sensors(board, seconds, wanted, show)
    verdict = judge(samples, expected, turns, sensors)
    if as_json:
        print_json(sensors_json(verdict, expected))
    else:
        _show(verdict)
    if not verdict.ok:
        to_stderr(_summary(verdict))
    return 0 if verdict.ok else WRONG


def _request(turns: int | None) -> str:
    count = "about ten turns" if turns is None else f"exactly {turns} turns, from mark to mark"
    return (
        f"turn the wheel smoothly by hand, in the direction in which the car runs, {count};"
        " then let it stand. The string must not be wound."
    )


def _say(as_json: bool, text: str) -> None:
    if as_json:
        to_stderr(text)
    else:
        print(text, flush=True)


@contextmanager
def _display(as_json: bool) -> Iterator[Callable[[CheckProgress], None]]:
    """A line that shows both sensors now, if there is a terminal."""
    from rich.live import Live
    from rich.text import Text

    screen = console()
    if as_json or not screen.is_terminal:
        yield lambda progress: None
        return
    with Live(console=screen, refresh_per_second=20, transient=True) as live:
        yield lambda progress: live.update(Text(_line(progress)))


def _line(now: CheckProgress) -> str:
    return (
        f"A {LAMPS[now.a]} {now.changes_a:5d}    B {LAMPS[now.b]} {now.changes_b:5d}"
        f"    {now.left_s:3.0f} s left, Ctrl-C ends"
    )


def _show(verdict: SensorVerdict) -> None:
    from rich.table import Table
    from rich.text import Text

    from unspool.render.words.findings import sentence

    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    for finding in verdict.findings:
        mark, colour = _mark(finding)
        table.add_row(Text(mark, colour), Text(sentence(finding)))
    console().print(table)
    if verdict.ok:
        print("the sensors are fine")


def _mark(finding: Finding) -> tuple[str, str]:
    """The mark before a finding, and its colour."""
    from unspool.instrument.sensors.codes import GOOD, UNKNOWN

    if finding.code in UNKNOWN:
        return "?", "yellow"
    if finding.severity is Severity.WARNING:
        return "WRONG", "bold red"
    return ("ok", "green") if finding.code in GOOD else ("note", "yellow")


def _summary(verdict: SensorVerdict) -> str:
    """The first warning, what was measured before what could not be."""
    from unspool.instrument.sensors.codes import UNKNOWN
    from unspool.render.words.findings import sentence

    bad = [one for one in verdict.findings if one.severity is Severity.WARNING]
    bad.sort(key=lambda one: one.code in UNKNOWN)
    more = f" (and {len(bad) - 1} more)" if len(bad) > 1 else ""
    return f"the sensors are not right: {sentence(bad[0])}{more}"
