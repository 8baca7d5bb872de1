"""What can happen to edges between the wheel and the file; no unspool in here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Edges:
    """time_s, direction and number, all (n,), in the order of time."""

    time_s: NDArray[np.float64]
    direction: NDArray[np.int8]
    number: NDArray[np.int64]

    def part(self, which: slice) -> Edges:
        return Edges(self.time_s[which], self.direction[which], self.number[which])


def made(time_s: object, direction: object) -> Edges:
    """Edges numbered from 0."""
    times = np.asarray(time_s, dtype=np.float64)
    return Edges(times, np.asarray(direction, np.int8), np.arange(len(times), dtype=np.int64))


def _carried(edges: Edges, count: float) -> Edges:
    """The car is carried back: edges backwards after a rest."""
    rng = np.random.default_rng(0)
    n = int(count)
    after = edges.time_s[-1] + 5.0 + np.cumsum(rng.uniform(0.02, 0.2, n))
    return made(np.r_[edges.time_s, after], np.r_[edges.direction, -np.ones(n, dtype=np.int8)])


def _bounced(edges: Edges, share: float) -> Edges:
    """This share of the edges comes three times within 0.1 ms, to and fro."""
    rng = np.random.default_rng(1)
    more = np.flatnonzero(rng.random(len(edges.time_s)) < share)
    times = np.r_[edges.time_s, edges.time_s[more] + 40e-6, edges.time_s[more] + 80e-6]
    ways = np.r_[edges.direction, -edges.direction[more], edges.direction[more]]
    order = np.argsort(times, kind="stable")
    return made(times[order], ways[order])


def _rounded(edges: Edges, step_s: float) -> Edges:
    return made(np.round(edges.time_s / step_s) * step_s, edges.direction)


CHANGES: dict[str, Callable[[Edges, float], Edges]] = {
    "keep": lambda e, share: e.part(slice(0, int(share * len(e.time_s)))),
    "drop": lambda e, share: e.part(slice(int(share * len(e.time_s)), None)),
    "first": lambda e, count: e.part(slice(0, int(count))),
    "one_way": lambda e, _: Edges(e.time_s, np.ones_like(e.direction), e.number),
    "swapped": lambda e, _: Edges(e.time_s, -e.direction, e.number),
    "unnumbered": lambda e, _: made(e.time_s, e.direction),
    "later": lambda e, by_s: Edges(e.time_s + by_s, e.direction, e.number),
    "faster": lambda e, rate: Edges(e.time_s * rate, e.direction, e.number),
    "rounded": _rounded,
    "bounced": _bounced,
    "carried": _carried,
}


def changed(edges: Edges, changes: tuple[tuple[str, float], ...]) -> Edges:
    """The edges after these changes, one after the other."""
    for name, value in changes:
        edges = CHANGES[name](edges, value)
    return edges


def pushed(metres_per_edge: float, pushes: tuple[tuple[float, float], ...]) -> Edges:
    """A car that a hand pushes at 3 m/s2 from and to these times in s, slowing by 0.12 m/s2."""
    step = 5e-4
    t = np.arange(0.0, 40.0, step)
    speed, now = np.zeros_like(t), 0.0
    for i in range(1, len(t)):
        pull = 3.0 if any(begin <= t[i] < end for begin, end in pushes) else 0.0
        now = max(now + (pull - 0.12) * step, 0.0)
        speed[i] = now
    way = np.cumsum(speed) * step
    edges = np.arange(1, int(way[-1] / metres_per_edge))
    jitter = np.random.default_rng(0).normal(0.0, 50e-6, len(edges))
    times = 5.0 + np.interp((edges - 0.4) * metres_per_edge, way, t) + jitter
    return made(times, np.ones(len(times)))
