"""What can end a leg of the true run, as the solver watches for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from scipy.integrate import OdeSolution
from scipy.optimize import brentq

from unspool.virtual.truth.true_car import ROLLED, State


class LegEnd(StrEnum):
    """Why a leg ends."""

    LANDING = "landing"
    CATCH = "catch"  # the falling weight draws the string taut
    LOOSE = "loose"  # a taper outruns the weight
    REGRIP = "regrip"  # the time of sliding is over
    GRIPPED = "gripped"  # wheel and car are as fast as each other again
    TIGHT = "tight"  # the string held at the peg pulls from here on
    RELEASE = "release"
    PEG = "peg"  # the drum is empty, and the string is held
    TIER_END = "tier_end"
    LEVEL = "level"  # the floor's slope changes
    STANDSTILL = "standstill"


@dataclass(frozen=True)
class TerminalEvent:
    """A value that ends the leg when it passes 0 in one direction, in solve_ivp's own form."""

    value: Callable[[float, State], float]
    direction: int
    terminal: bool = True

    def __call__(self, t: float, y: State) -> float:
        return self.value(t, y)


TerminalEvents = dict[LegEnd, TerminalEvent]


def at_rolled(distance_m: float) -> TerminalEvent:
    """The driven wheel has rolled this far."""
    return TerminalEvent(lambda _, y: y[ROLLED] - distance_m, 1)


def first_of(leg: OdeSolution, watched: TerminalEvents, ended: LegEnd) -> tuple[float, LegEnd]:
    """When the first of all events on the leg happened, and which it is.

    A step that runs far past the standstill and back can hide another event from the solver.
    """
    begin, end = float(leg.t_min), float(leg.t_max)
    first = (end, ended)
    for name, event in watched.items():
        before, after = (event.direction * event(t, leg(t)) for t in (begin, first[0]))
        if name != ended and before < 0.0 < after:
            time = brentq(lambda t, event=event: event(t, leg(t)), begin, first[0], xtol=1e-13)
            first = (float(time), name)
    return first
