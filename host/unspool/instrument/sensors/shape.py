"""How the two sensors' switchings lie: share of a slot that reads high, and B against A.

A slot pitch has 360 degrees. A disc does not turn evenly in a hand, so only stretches are looked at
in which the speed hardly changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.instrument.sensors.waves import Flags, Floats, Levels, Wave

STEADY = 1.6  # neighbouring slots may take so many times as long as each other
FEWEST = 6  # slots; a middle of fewer says little


@dataclass(frozen=True)
class Quadrature:
    """offset_deg: B's distance from A, 0 to 180, whichever way the wheel turned; 90 is right.

    forward: share of switchings of A at which the board takes the wheel to turn forward, 0 to 1.
    """

    offset_deg: float
    forward: float


def high_share(one: Wave) -> float | None:
    """The middle share of a slot pitch for which a sensor reads high; None with too few slots."""
    at = one.time_s[int(one.count and one.level[0] == 0) :]  # from a rise on
    rises, falls = at[::2], at[1::2]
    pitch = np.diff(rises)
    if len(pitch) < FEWEST:
        return None
    share = (falls[: len(pitch)] - rises[:-1]) / pitch
    steady = _steady(pitch)
    return float(np.median(share[steady])) if steady.sum() >= FEWEST else None


def _steady(length: Floats) -> Flags:
    """Whether the speed hardly changes from each slot to the next; (n,)."""
    ratio = np.abs(np.log(length[1:] / length[:-1])) < np.log(STEADY)
    steady: Flags = np.append(ratio, False) & np.append(True, ratio)
    return steady


def phase(a: Wave, b: Wave) -> Quadrature | None:
    """Where the middles of B's highs lie between those of A's; None with too few of them."""
    ours, theirs = _middles(a), _middles(b)
    if len(ours) < FEWEST:
        return None
    pitch = np.diff(ours)
    at = np.searchsorted(ours, theirs, side="right") - 1
    inside = (at >= 0) & (at < len(pitch))
    at, theirs = at[inside], theirs[inside]
    even = _steady(pitch)[at]
    if even.sum() < FEWEST:
        return None
    angle = 360.0 * (theirs - ours[at])[even] / pitch[at][even]
    off = np.minimum(angle, 360.0 - angle)
    return Quadrature(float(np.median(off)), float(np.mean(directions(a, b) == 1)))


def _middles(one: Wave) -> Floats:
    """Times of the middles of the highs."""
    at = one.time_s[int(one.count and one.level[0] == 0) :]
    falls = at[1::2]
    middles: Floats = (at[::2][: len(falls)] + falls) / 2
    return middles


def directions(a: Wave, b: Wave) -> Levels:
    """1 forward or -1 at each switching of A, by the rule that the board goes by; (n,)."""
    levels = np.concatenate([[b.resting], b.level])
    shown = levels[np.searchsorted(b.time_s, a.time_s)]
    return np.where(a.level != shown, 1, -1).astype(np.int8)
