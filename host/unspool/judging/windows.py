"""Windows: from when to when a run must have begun to be that of a called attempt.

They are for runs that reach the store late. The clocks of both computers must agree within the time
that winding takes. If they do not, the run stays without an attempt, and the judge has the tape.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from unspool.contest import Attempt, Contest, Entry, Event, Kind
from unspool.contest.events import alive
from unspool.contest.state import attempt_key
from unspool.judging.log import same_name
from unspool.store import Begun

LONGEST_US = 30 * 60 * 1_000_000  # who is called later than that was called again
_MEASURED = (Kind.TAPE, Kind.TIMED)


@dataclass(frozen=True)
class Window:
    """Microseconds since 1970; `to_us` is outside. car: by name."""

    attempt: Attempt
    car: str
    from_us: int
    to_us: int

    def takes(self, run: Begun) -> bool:
        return self.from_us <= run.begun_us < self.to_us and same_name(self.car, run.car)


def windows(contest: Contest, events: Sequence[Event]) -> list[Window]:
    """One for each called attempt without a run, in the order of the contest."""
    counting = alive(tuple(events))
    return [
        _window(entry, one, counting)
        for entry in contest.competing()
        for one in entry.made()
        if one.called and one.wheel is None
    ]


def _window(entry: Entry, one: Attempt, events: Sequence[Event]) -> Window:
    """Until it was measured, or the car's next attempt was called."""
    mine, of_car = (entry.number, one.number), [e for e in events if _is_of(e, entry.number)]
    called = [e for e in of_car if attempt_key(e) == mine and e.kind is Kind.CALLED][-1]
    after = [e for e in of_car if e.number > called.number]
    ends = [
        event.made_us
        for event in after
        if event.kind is Kind.CALLED or (event.kind in _MEASURED and attempt_key(event) == mine)
    ]
    return Window(one, entry.car, called.made_us, min([called.made_us + LONGEST_US, *ends]))


def _is_of(event: Event, entry: int) -> bool:
    key = attempt_key(event)
    return key is not None and key[0] == entry
