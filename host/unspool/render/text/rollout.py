"""A roll-out as a page of text: the circumference, the verdict, the lines for the car file."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from unspool.render.text.findings import finding_line
from unspool.render.words.findings import sentence
from unspool.render.words.rollout import (
    PUSH_HEAD,
    between,
    car_file_lines,
    millimetres,
    push_rows,
)
from unspool.study.rollout import RollOut


def show_rollout(screen: Console, out: RollOut) -> None:
    """Prints the roll-out."""
    counted = f"{len(out.pushes)} push{'es' * (len(out.pushes) != 1)}"
    screen.print(Text(f"{out.car}, wheel {out.wheel}, rolled out in {counted}", style="bold"))
    found = out.circumference_m
    screen.print(Text(f"circumference {millimetres(found.value)} ({between(found)})"))
    screen.print(Text(sentence(out.verdict)))
    screen.print()
    screen.print(_pushes(out))
    if out.findings:
        screen.print()
    for finding in out.findings:
        screen.print(finding_line(finding))
    screen.print()
    for line in car_file_lines(out):
        screen.print(Text(line), soft_wrap=True)  # to be copied whole


def show_corrected(screen: Console, runs: list[str]) -> None:
    """Prints which runs of the store have the circumference from now on."""
    if runs:
        screen.print(f"Runs that roll with it from now on: {', '.join(runs)}.")
    else:
        screen.print("The store has no run of this wheel, so none was corrected.")


def _pushes(out: RollOut) -> Table:
    table = Table(box=None, pad_edge=False)
    for i, heading in enumerate(PUSH_HEAD):
        table.add_column(heading, justify="right" if i else "left", overflow="fold", no_wrap=i > 0)
    for row in push_rows(out):
        table.add_row(*row)
    return table
