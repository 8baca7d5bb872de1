"""What can end a leg, and what ended it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto

from scipy.integrate import OdeSolution
from scipy.optimize import brentq

from unspool.virtual.truth.physics import ROLLED, State


@dataclass(frozen=True)
class Watch:
    """A value whose passing through 0 in one direction ends a leg, as solve_ivp wants it told."""

    value: Callable[[float, State], float]
    direction: int
    terminal: bool = True

    def __call__(self, t: float, y: State) -> float:
        return self.value(t, y)


class Pull(Enum):
    """What the string does."""

    SLIDING = auto()  # pulls while the tyre slides
    REGRIP = auto()  # the same, the tyre catching hold again
    TAUT = auto()
    SLACK = auto()
    LANDED = auto()  # the weight rests, string is still on the drum
    GONE = auto()
    DANGLING = auto()  # fast at the peg, but not yet tight the other way round
    HELD = auto()  # fast at the peg: lifts the weight


@dataclass(frozen=True)
class Happening:
    kind: str
    time_s: float
    distance_m: float
    speed_m_s: float
    from_tier: str | None = None
    to_tier: str | None = None


def first_of(leg: OdeSolution, watched: dict[str, Watch], ended: str) -> tuple[float, str]:
    """The first of all watches that the leg passed, and when: a step that runs far past the
    standstill and back can hide another from the solver.
    """
    begin, end = float(leg.t_min), float(leg.t_max)
    first = (end, ended)
    for name, watch in watched.items():
        before, after = (watch.direction * watch(t, leg(t)) for t in (begin, first[0]))
        if name != ended and before < 0.0 < after:
            time = brentq(lambda t, watch=watch: watch(t, leg(t)), begin, first[0], xtol=1e-13)
            first = (float(time), name)
    return first


def at_rolled(way: float) -> Watch:
    return Watch(lambda _, y: y[ROLLED] - way, 1)
