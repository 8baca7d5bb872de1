"""A sweep as a page of text: the best set, how flat it is, and a coarse map."""

from __future__ import annotations

import numpy as np
from rich.console import Console
from rich.table import Table
from rich.text import Text

from unspool.render.words.safety import NEAR_THE_CAR
from unspool.render.words.sweep import (
    IMPOSSIBLE,
    LIMIT_WORDS,
    NEARLY_HEAD,
    aim_words,
    axis_words,
    best_sentences,
    nearly_rows,
    score_title,
    shown_score,
    size_words,
)
from unspool.study.sweep import Sweep
from unspool.study.sweep.types import LIMITS

ROWS, COLUMNS = 12, 7  # of the map, on a narrow screen


def show_sweep(screen: Console, sweep: Sweep) -> None:
    """Prints the sweep."""
    title = f"{sweep.car.name} on {sweep.track.name}, {aim_words(sweep)}"
    screen.print(Text(title, style="bold"))
    for sentence in best_sentences(sweep):
        screen.print(Text(sentence))
    screen.print()
    screen.print(_nearly(sweep))
    screen.print()
    screen.print(_map(sweep))
    for letter, words in _legend(sweep):
        screen.print(Text(f"{letter}  {words}"))
    screen.print(NEAR_THE_CAR)


def _nearly(sweep: Sweep) -> Table:
    table = Table(box=None, pad_edge=False)
    for i, head in enumerate(NEARLY_HEAD):
        table.add_column(head, justify="right" if 0 < i < 4 else "left", overflow="fold")
    for row in nearly_rows(sweep):
        table.add_row(*(Text(cell) for cell in row))
    return table


def _map(sweep: Sweep) -> Table:
    """Of the two ranges that matter most one goes down and one across, with some values of each."""
    shown = [sweep.axes[i] for i in sweep.shown_axes]
    two = len(shown) > 1
    score, limit = sweep.best_over(sweep.shown_axes)
    if not two:
        score, limit = score[:, None], limit[:, None]
    rows = _some(score.shape[0], ROWS)
    columns = _some(score.shape[1], COLUMNS)
    table = Table(box=None, pad_edge=False)
    table.add_column(f"{axis_words(shown[0])}, {score_title(sweep)}", overflow="fold")
    for j in columns:
        head = size_words(shown[1], shown[1].values[j]) if two else "best winding"
        table.add_column(head, justify="right")
    for i in rows:
        cells = [_cell(sweep, float(score[i, j]), int(limit[i, j])) for j in columns]
        table.add_row(size_words(shown[0], shown[0].values[i]), *cells)
    return table


def _some(count: int, most: int) -> list[int]:
    """At most `most` places of `count`, evenly, with the first and the last."""
    return sorted({int(i) for i in np.linspace(0, count - 1, min(count, most)).round()})


def _cell(sweep: Sweep, score: float, limit: int) -> str:
    value = f"{shown_score(sweep, score):.2f}" if np.isfinite(score) else IMPOSSIBLE
    return f"{value} {LIMIT_WORDS[LIMITS[limit]][0]}"


def _legend(sweep: Sweep) -> list[tuple[str, str]]:
    """The letters of the map, with what they mean."""
    _, limit = sweep.best_over(sweep.shown_axes)
    return [LIMIT_WORDS[LIMITS[i]] for i in np.unique(limit).tolist()]
