"""Speed over distance as a few rows of block characters, for a look in the terminal."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

ROWS = 5
# Eighths of a character cell, from empty to full.
EIGHTHS = " ▁▂▃▄▅▆▇█"
MARK = "▲"
NARROWEST, WIDEST = 10, 72


def speed_rows(
    distance_m: NDArray[np.float64], speed_m_s: NDArray[np.float64], width: int, rows: int = ROWS
) -> list[str]:
    """Rows from the top down, `width` characters each; none if there is nothing to draw.

    distance_m, speed_m_s: (n,), in order of time. Only the way out is drawn, not a roll-back.
    """
    if len(distance_m) < 2 or float(np.max(distance_m)) <= 0.0:
        return []
    out = slice(0, int(np.argmax(distance_m)) + 1)
    reached = np.maximum.accumulate(distance_m[out])
    columns = (np.arange(width) + 0.5) / width * reached[-1]
    speed = np.interp(columns, reached, np.maximum(speed_m_s[out], 0.0))
    top = float(np.max(speed))
    if not top > 0.0:
        return []
    levels = np.rint(speed / top * 8 * rows).astype(int)
    return [_row(levels - 8 * row) for row in reversed(range(rows))]


def mark_row(distances_m: Iterable[float], furthest_m: float, width: int) -> str:
    """One row with a mark under each distance."""
    cells = [" "] * width
    for distance in distances_m:
        if 0.0 <= distance <= furthest_m and furthest_m > 0.0:
            cells[min(int(distance / furthest_m * width), width - 1)] = MARK
    return "".join(cells).rstrip()


def _row(levels: NDArray[np.int_]) -> str:
    return "".join(EIGHTHS[level] for level in np.clip(levels, 0, 8)).rstrip()
