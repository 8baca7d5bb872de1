"""A comparison as a page of text: the groups, then what differs between them in words."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from unspool.render.text.findings import finding_line
from unspool.render.words.comparison import (
    SURE,
    difference_sentence,
    mean_words,
    quantity_name,
    repeat_words,
    shown_quantities,
    versus,
)
from unspool.render.words.findings import sentence
from unspool.study.compare import Comparison, Distinction, Group, Quantity


def show_comparison(screen: Console, comparison: Comparison) -> None:
    """Prints the comparison."""
    counted = sum(len(group.runs) for group in comparison.groups)
    runs = f"{counted} run{'s' * (counted != 1)}"
    screen.print(Text(f"{runs} by {comparison.by}; ± and intervals are {SURE}", style="bold"))
    shown = shown_quantities(comparison)
    for group in comparison.groups:
        screen.print()
        screen.print(_group(group, shown))
    screen.print()
    for pair in versus(comparison):
        screen.print(Text(pair.heading, style="bold"))
        for difference in pair.differences:
            different = difference.verdict is Distinction.DIFFERENT
            screen.print(Text(f"{'*' if different else '-'} {difference_sentence(difference)}"))
        screen.print()
    for left in comparison.left_out:
        screen.print(Text(f"left out: {left.run}. {sentence(left.why)}"))
    for caution in comparison.cautions:
        screen.print(finding_line(caution))


def _group(group: Group, shown: list[Quantity]) -> Table:
    names = ", ".join(run.name for run in group.runs)
    table = Table(box=None, pad_edge=False, title_justify="left", title_style="")
    table.title = Text(f"{group.name} ({names})", style="bold")
    table.add_column("", overflow="fold")
    table.add_column("mean", justify="right")
    table.add_column("two attempts differ by less than", justify="right")
    for quantity in shown:
        summary = group.summary(quantity.key)
        table.add_row(quantity_name(quantity), mean_words(summary), repeat_words(summary))
    return table
