"""Where and when the wheel stood, beyond the first or last edge that it gave.

Close to rest the acceleration is constant, so the position is a parabola of time and its vertex is
the rest. The vertex lies less than one slot beyond the outermost edge: further off, the wheel would
have given another edge. One or two lost ones are believed where the parabola is sure. Where it says
otherwise (a car caught by hand, a launch by a push), the rest is put half a slot beyond, with that
as its uncertainty.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.fitting import fit_columns

Array = NDArray[np.float64]

EDGES = (10, 7, 5)  # near rest; fewer if a change of the acceleration is among them
FITS = 0.03  # of a slot: noise of a parabola that fits; uneven hand-cut slots leave as much
# Uncertainty of a rest known only to lie somewhere within a slot.
WITHIN_A_SLOT = 1.0 / sqrt(12.0)
MOST_LOST = 2  # edges beyond the outermost one; more would be a guess
SURE = 0.1  # of a slot: sd below which lost edges are believed


@dataclass(frozen=True)
class Standstill:
    """position in the unit of the edges' positions; seen is False if no parabola gave it."""

    time_s: float
    position: float
    position_sd: float
    seen: bool


def rest_after(t: Array, position: Array, direction: int, slot: float) -> Standstill:
    """The rest that ends a leg rolled in `direction` (1 or -1); slot is the length of one slot.

    t, position: (n,) of the leg's edges, n at least 1.
    """
    position = position * direction
    parabola = _best_vertex(t, position, slot)
    if parabola is not None:
        at, place, sd = parabola
        beyond = (place - float(position[-1])) / slot
        reach = 1.0 + (MOST_LOST if sd < SURE * slot else 0)
        # The outermost edge is as wrong as any: a vertex just short of it stands.
        grace = min(0.3 + 3.0 * sd / slot, 0.5)
        if -grace <= beyond <= reach + grace:
            place = max(place, float(position[-1]))
            return Standstill(max(at, float(t[-1])), place * direction, sd, True)
    speed = _last_speed(t, position)
    # From this speed to rest within half a slot at constant deceleration.
    wait = slot / speed if speed > 0.0 else 0.0
    return Standstill(
        float(t[-1]) + wait,
        (float(position[-1]) + 0.5 * slot) * direction,
        WITHIN_A_SLOT * slot,
        False,
    )


def rest_before(t: Array, position: Array, direction: int, slot: float) -> Standstill:
    """The rest from which a leg started; as rest_after, seen backwards in time."""
    mirrored = rest_after(-t[::-1], position[::-1], -direction, slot)
    return Standstill(-mirrored.time_s, mirrored.position, mirrored.position_sd, mirrored.seen)


def _best_vertex(t: Array, position: Array, slot: float) -> tuple[float, float, float] | None:
    """From as many edges as one parabola fits, a tier change near the launch left out."""
    for edges in EDGES:
        found = _vertex(t[-edges:], position[-edges:])
        if found is not None and found[3] < FITS * slot:
            return found[:3]
    found = _vertex(t[-EDGES[-1] :], position[-EDGES[-1] :])
    return found[:3] if found else None


def _vertex(t: Array, position: Array) -> tuple[float, float, float, float] | None:
    """Time and position of the vertex, sd of that position and of the noise, if there is one."""
    if len(t) < 4 or t[-1] <= t[0]:
        return None
    span = t[-1] - t[0]
    s = (t - t[-1]) / span
    columns = np.column_stack([s * s, s, np.ones_like(s)])
    try:
        fit = fit_columns(columns, position)
    except ValueError:
        return None
    a, b, c = fit.terms.tolist()
    if a >= 0.0:
        return None
    place = c - b * b / (4.0 * a)
    _, sd = fit.combination([b * b / (4.0 * a * a), -b / (2.0 * a), 1.0])
    at = float(t[-1] - span * b / (2.0 * a))
    return at, place, sd, fit.sd


def _last_speed(t: Array, position: Array) -> float:
    if len(t) < 2 or t[-1] <= t[-2]:
        return 0.0
    return float((position[-1] - position[-2]) / (t[-1] - t[-2]))
