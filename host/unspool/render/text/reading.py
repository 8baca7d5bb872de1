"""A reading or a prediction as a page of text: what happened, where, and what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.table import Table
from rich.text import Text

from unspool.model.outcome import EnergyLedger, Event, EventKind, Prediction
from unspool.reading.events.types import Reading
from unspool.render.text.blocks import NARROWEST, WIDEST, mark_row, speed_rows
from unspool.render.text.findings import finding_line
from unspool.render.words.energy import ledger_rows
from unspool.render.words.events import event_word
from unspool.render.words.findings import warnings_first
from unspool.render.words.result import end_words
from unspool.render.words.safety import NEAR_THE_CAR
from unspool.render.words.units import NBSP, half_interval, quantity, with_sd

SURE = "± (95 %)"
BELOW = f"below{NBSP}0.1{NBSP}mm"


def show_reading(screen: Console, reading: Reading, name: str) -> None:
    """Prints the reading of the run called `name`."""
    motion = reading.motion
    screen.print(Text(f"{reading.car}, {name}", style="bold"))
    screen.print(_stop_line(reading))
    screen.print(_top_speed(reading.peak_speed_m_s, reading.peak_at_m))
    screen.print(
        f"{len(motion.train)} edges: {len(motion.used)} used, {motion.ignored} ignored, "
        f"{motion.missing} missing"
    )
    # The last edge comes before the stop.
    rest = ([motion.stop_m], [0.0]) if motion.stop_seen else ([], [])
    way, speed = np.append(motion.distance_m, rest[0]), np.append(motion.speed_m_s, rest[1])
    _show_speed(screen, way, speed, reading.events)
    _show_tables(screen, _events_table(reading.events), _energy_table(reading.energy))
    for finding in warnings_first(reading.findings):
        screen.print(finding_line(finding))


def show_prediction(screen: Console, prediction: Prediction, track: str) -> None:
    """Prints the prediction for a car on the track called `track`."""
    p = prediction
    screen.print(Text(f"{p.car} on {track}, predicted", style="bold"))
    if not p.starts:
        screen.print(
            f"does not start: the drive is {quantity(p.start_margin, '')} of what holds it at rest"
        )
        _show_cautions(screen, p)
        return
    screen.print(_expected_stop(p))
    screen.print(_top_speed(p.peak_speed_m_s, p.peak_at_m))
    screen.print(f"string lets go at {quantity(p.release_m, 'm')}")
    _show_speed(screen, p.curve.distance_m, p.curve.speed_m_s, p.events)
    _show_tables(screen, _events_table(p.events), _energy_table(p.energy), _margins_table(p))
    _show_cautions(screen, p)


def _expected_stop(p: Prediction) -> str:
    if not isfinite(p.distance_m):
        return "nothing stops it"
    return (
        f"stops at {quantity(p.distance_m, 'm')} (90 % between {quantity(p.distance_low_m, 'm')} "
        f"and {quantity(p.distance_high_m, 'm')}) after {quantity(p.duration_s, 's', 1)}"
    )


def _show_tables(screen: Console, *tables: Table) -> None:
    for table in tables:
        screen.print()
        screen.print(table)
    screen.print()


def _top_speed(speed_m_s: float, at_m: float) -> str:
    return f"top speed {quantity(speed_m_s, 'm/s')} at {quantity(at_m, 'm')}"


def _stop_line(reading: Reading) -> str:
    stopped = end_words(reading.motion, reading.distance_m, reading.distance_sd_m)
    furthest = ""
    if any(event.kind is EventKind.FURTHEST for event in reading.events):
        furthest = (
            f", after it had been at {with_sd(reading.furthest_m, reading.furthest_sd_m, 'm')}"
        )
    endless = not isfinite(reading.prediction.distance_m)
    expected = "no stop at all" if endless else quantity(reading.prediction.distance_m, "m")
    took = quantity(reading.duration_s, "s", 1)
    return f"{stopped}{furthest}, {took} after the launch; the car file makes one expect {expected}"


def _show_speed(
    screen: Console,
    distance_m: NDArray[np.float64],
    speed_m_s: NDArray[np.float64],
    events: Sequence[Event],
) -> None:
    width = min(screen.width - 2, WIDEST)
    rows = speed_rows(distance_m, speed_m_s, width) if width >= NARROWEST else []
    if not rows:
        return
    furthest = float(np.max(distance_m))
    marks = [e.distance_m for e in events if e.kind not in (EventKind.LAUNCH, EventKind.STOP)]
    end = quantity(furthest, "m")
    axis = "0" + end.rjust(width - 1)
    screen.print()
    for row in (*rows, mark_row(marks, furthest, width), axis):
        screen.print(Text(f"  {row}", no_wrap=True))


def _events_table(events: Sequence[Event]) -> Table:
    """Where and when since the first event, how sure, and what was expected, where known."""
    table = Table(box=None, pad_edge=False)
    table.add_column("event", overflow="fold")
    columns = [
        ("where", [quantity(e.distance_m, "m") for e in events]),
        (SURE, [_sure(e) for e in events]),
        ("when", [quantity(e.time_s - events[0].time_s, "s") for e in events]),
        ("expected", [_expected(e) for e in events]),
    ]
    told = [(heading, cells) for heading, cells in columns if any(cells)]
    for heading, _ in told:
        table.add_column(heading, justify="right", overflow="fold")
    for i, event in enumerate(events):
        table.add_row(event_word(event), *(cells[i] for _, cells in told))
    return table


def _sure(event: Event) -> str:
    """Half of the 95 % interval; nothing if it is not known, or known by definition."""
    if not event.distance_sd_m:
        return ""
    half_mm = 1960.0 * event.distance_sd_m
    return half_interval(1e3 * event.distance_sd_m, "mm") if half_mm >= 0.05 else BELOW


def _expected(event: Event) -> str:
    at = event.expected_distance_m
    return "" if at is None else quantity(at, "m")


def _energy_table(ledger: EnergyLedger) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("energy", overflow="fold")
    table.add_column("", justify="right")
    table.add_column("share", justify="right")
    for name, joules in (("stored", ledger.stored), *ledger_rows(ledger)):
        table.add_row(name, quantity(joules, "J"), _share(joules, ledger.stored))
    return table


def _share(joules: float | None, stored: float) -> str:
    return "" if joules is None or stored <= 0.0 else quantity(100.0 * joules / stored, "%", 0)


def _margins_table(p: Prediction) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("margin", overflow="fold")
    table.add_column("", justify="right")
    for name, margin in (
        ("start: drive over what holds it at rest", p.start_margin),
        ("string: what a knot bears over the peak pull", p.string_margin),
        ("traction: grip over force at the tyre", p.traction_margin),
        ("tipping", p.tipping_margin),
    ):
        table.add_row(name, quantity(margin, ""))
    return table


def _show_cautions(screen: Console, p: Prediction) -> None:
    for finding in p.findings:
        screen.print(finding_line(finding))
    screen.print(NEAR_THE_CAR)
