"""A calibration as a page of text: the losses with their intervals, the runs, what to run next."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import Progress
from rich.table import Table
from rich.text import Text

from unspool.render.text.findings import finding_line
from unspool.render.words.findings import sentence
from unspool.render.words.floor import FLOOR_HEAD, floor_caption, floor_rows
from unspool.render.words.losses import break_away_words, run_cells, term_rows
from unspool.render.words.units import quantity
from unspool.safe_console import SafeConsole
from unspool.study.calibration import BreakAway, Calibration, RunOutcome, SlopeProfile


@contextmanager
def watching(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on standard error, where there is a terminal to draw it on."""
    screen = SafeConsole(stderr=True)
    with Progress(console=screen, transient=True, disable=not screen.is_terminal) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, count: bar.update(task, completed=done, total=count)


def show_calibration(screen: Console, calibration: Calibration) -> None:
    """Prints the losses, the runs and what was found."""
    runs = calibration.runs
    counted = f"{len(runs)} run{'s' if len(runs) > 1 else ''}"
    screen.print(Text(f"{calibration.car.name}, calibrated from {counted}", style="bold"))
    screen.print(_terms(calibration))
    for both in calibration.together:
        screen.print(Text(sentence(both)))
    screen.print()
    screen.print(_runs(runs))
    if calibration.residual_sd_m is not None and len(runs) > 1:
        share = 100.0 * calibration.scatter
        miss = quantity(calibration.residual_sd_m, "m")
        screen.print(
            f"\nmeasured and modelled distances differ by {miss}; "
            f"the resistance differs by about {quantity(share, '%', 1)} from attempt to attempt"
        )
    for finding in calibration.findings:
        screen.print(finding_line(finding))


def show_break_away(screen: Console, rest: BreakAway) -> None:
    """Prints the bounds of the resistance at rest."""
    screen.print()
    for text in break_away_words(rest):
        screen.print(Text(f"- {text}"))


def show_floor(screen: Console, floor: SlopeProfile) -> None:
    """Prints the floor's heights and what they are worth."""
    screen.print(Text("\nThe floor, from these attempts", style="bold"))
    table = Table(box=None, pad_edge=False)
    for heading in FLOOR_HEAD:
        table.add_column(heading, justify="right")
    for row in floor_rows(floor):
        table.add_row(*row)
    screen.print(table)
    screen.print(Text(floor_caption(floor)))
    for finding in floor.findings:
        screen.print(finding_line(finding))


def _terms(calibration: Calibration) -> Table:
    table = Table(box=None, pad_edge=False)
    for heading in ("loss", "value", "90 % between", "and", ""):
        table.add_column(heading, justify="left" if heading in ("loss", "") else "right")
    for words, value, low, high, _like, origin in term_rows(calibration):
        table.add_row(words, value, low, high, origin)
    return table


def _runs(runs: tuple[RunOutcome, ...]) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("run", overflow="fold")
    for heading in ("measured", "modelled", "difference"):
        table.add_column(heading, justify="right")
    table.add_column("")
    for run in runs:
        table.add_row(*run_cells(run))
    return table
