"""Event: one thing that somebody noted of a contest. The log of them only grows.

Whatever a contest is follows from its events in the order of their numbers. Their times are for
people: a clock that is set back changes no result.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Kind(StrEnum):
    """`data` of each, by name; teams and entries are known by the number of their first event.

    An undone event counts no more, until its UNDONE is undone.
    """

    NAMED = "named"  # name
    RULES = "rules"  # toml
    TEAM = "team"  # name
    TEAM_RENAMED = "team_renamed"  # team, name
    ENTRY = "entry"  # team, car, weight_g, age
    ENTRY_CHANGED = "entry_changed"  # entry, car, weight_g, age
    WITHDRAWN = "withdrawn"  # entry
    FORECAST = "forecast"  # entry, value
    ORDER = "order"  # entries, seed: null if it was set by hand
    CALLED = "called"  # entry, attempt
    TAPE = "tape"  # entry, attempt, metres
    DOUBTED = "doubted"  # entry, attempt, metres: a second judge's, which does not count
    TIMED = "timed"  # entry, attempt, seconds
    REMARK = "remark"  # entry, attempt, text
    PENALTY = "penalty"  # entry, attempt, name, metres, seconds, void
    RUN = "run"  # entry, attempt, run, furthest_m, resting_m, time_s
    REPEATED = "repeated"  # entry, attempt, text: why it is made again; what it had counts no more
    RUN_OFF = "run_off"  # entries, number: of the extra attempt of each
    CLOSED = "closed"
    UNDONE = "undone"  # event


@dataclass(frozen=True)
class Event:
    """number: counts from 1 in its contest. made_us: microseconds since 1970, UTC."""

    number: int
    made_us: int
    who: str
    kind: Kind
    data: Mapping[str, Any]


def alive(events: tuple[Event, ...]) -> tuple[Event, ...]:
    """Those that count, without the UNDONE themselves."""
    undone: set[int] = set()
    for event in reversed(events):
        if event.kind is Kind.UNDONE and event.number not in undone:
            undone.add(event.data["event"])
    return tuple(e for e in events if e.kind is not Kind.UNDONE and e.number not in undone)
