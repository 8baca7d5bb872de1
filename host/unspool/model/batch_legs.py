"""One leg of many lanes at once, and the closed forms that say how it ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.model import segments
from unspool.model.batch_params import Floats
from unspool.model.legs import SETTLED

Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

LANDING, TIER_END, LEVEL, ONWARD, CAUGHT, ENDLESS = range(6)
# Beyond this many lengths over which air drag settles the speed, the closed form is split.
_SETTLING = 5.0


@dataclass
class Leg:
    """One leg of each lane in `lane`, all (m,): where it starts, its law, and how it ends."""

    lane: Indices
    x: Floats
    v: Floats
    sense: Floats
    pull: NDArray[np.int8]
    slope: Floats
    place: Floats  # of the next level
    lever: Floats
    net: Floats
    drag: Floats
    mass: Floats
    way: Floats
    what: NDArray[np.int8]
    moves: Flags
    stops: Flags
    v1: Floats
    time: Floats
    air: Floats


def shortened(
    v: Floats, net: Floats, drag: Floats, mass: Floats,
    way: Floats, what: NDArray[np.int8], moves: Flags,
) -> tuple[Floats, NDArray[np.int8], Flags]:  # fmt: skip
    """The way cut to a standstill, and to what the closed form can tell in one go."""
    steady = _steady(v, net, drag)
    settled = np.where((drag > 0.0) & (net >= 0.0) & ~steady, _SETTLING * mass / drag, np.inf)
    what = np.where(moves & (settled < way), ONWARD, what).astype(np.int8)
    way = np.where(moves, np.minimum(settled, way), way)
    safe = np.where(net < 0.0, net, -1.0)
    stop = segments.way_to_speed(v**2, np.zeros(len(v)), safe, drag, mass)
    stops = moves & (net < 0.0) & (stop <= way)
    return np.where(stops, stop, way), what, stops


def _steady(v: Floats, net: Floats, drag: Floats) -> Flags:
    """Whether a speed is the terminal one, to what the closed form can tell."""
    return np.asarray((net > 0.0) & (np.abs(net - drag * v**2) <= SETTLED * net))


def speed_squared_after(leg: Leg, at: Indices) -> Floats:
    return segments.speed_squared(
        leg.way[at], leg.v[at] ** 2, leg.net[at], leg.drag[at], leg.mass[at]
    )


def time_of(leg: Leg, at: Indices) -> Floats:
    v1 = np.where(leg.stops[at], 0.0, np.sqrt(np.maximum(speed_squared_after(leg, at), 0.0)))
    args = (leg.net[at], leg.drag[at], leg.mass[at])
    stopping = segments.time_to_speed(leg.v[at], np.zeros(len(at)), *args)
    passing = segments.duration(leg.way[at], leg.v[at], v1, *args)
    steady = _steady(leg.v[at], leg.net[at], leg.drag[at])
    passing = np.where(steady, leg.way[at] / leg.v[at], passing)
    return np.where(leg.stops[at], stopping, passing)


def ahead(
    s: Floats, v0: Floats, net: Floats, drag: Floats, mass: Floats, lever: Floats,
    over_string: Floats, over_drop: Floats, sinking: Floats, gravity: Floats,
) -> Floats:  # fmt: skip
    """How far the weight, falling by itself, is past the string or the cradle, after the way s."""
    u1 = np.maximum(segments.speed_squared(s, v0**2, net, drag, mass), 0.0)
    t = segments.duration(s, v0, np.sqrt(u1), net, drag, mass)
    fall = (sinking + 0.5 * gravity * t) * t
    return np.maximum(fall + over_string - lever * s, fall + over_drop)
