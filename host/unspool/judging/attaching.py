"""Attaches a recorded run to the attempt that was called, with what its wheel measured.

What was measured is noted as it was read that day, so that no later reading moves a result.
"""

from __future__ import annotations

from contextlib import suppress

import numpy as np

from unspool.contest import Attempt, Contest, Kind, contest_of
from unspool.errors import ChangedMeanwhileError, StoreError, StoreWaitError, UnspoolError
from unspool.judging.log import contest_in, events_in, same_name
from unspool.judging.windows import windows
from unspool.kept import Readings
from unspool.reading.events.types import Reading
from unspool.runs import stored_run
from unspool.store import Store

BY_ITSELF = "unspool"  # who attached it
Measured = dict[str, float | None]
NOTHING: Measured = {"furthest_m": None, "resting_m": None, "time_s": None}


def attach_run(store: Store, run_id: str, car: str) -> str | None:
    """The contest that took it, None if it is no called attempt's.

    car: the car's name, "" if nobody said which; then it is the called one's, if only one was. A
    contest that cannot be read is no obstacle to the others. Raises StoreWaitError.
    """
    for contest in reversed(store.contests.listed()):
        state = _read(store, contest)
        if state and not state.closed and (one := _waiting(state, car)):
            _note(store, contest, state, one, run_id)
            return contest
    return None


def attach_late(store: Store, contest: str) -> bool:
    """Attaches runs that came into the store later, and says whether there was one.

    A station may hand its runs over long after the next attempt was called, so their moments say
    whose they are. Raises as `events_in`.
    """
    events = events_in(store, contest)
    state = contest_of(events)
    waits = [] if state.closed else windows(state, events)
    if not waits:
        return False
    known = {event.data["run"] for event in events if event.kind is Kind.RUN}
    found = store.contests.begun(min(w.from_us for w in waits), max(w.to_us for w in waits))
    attached = False
    for run in found:
        whole = run.ending is not None and not run.ending.is_cut
        one = next((w for w in waits if whole and w.takes(run)), None)
        if one is None or run.run_id in known:
            continue
        waits.remove(one)
        with suppress(ChangedMeanwhileError):  # another unspool has attached it
            _note(store, contest, state, one.attempt, run.run_id, one.attempt.revision)
            attached = True
    return attached


def measured_by_wheel(reading: Reading, mark_m: float | None) -> Measured:
    """None for what the edges do not show, such as a run without a stop or a mark out of reach."""
    motion = reading.motion
    if not motion.measures_distance:
        return dict(NOTHING)
    of_run: Measured = {"furthest_m": reading.furthest_m, "resting_m": reading.distance_m}
    return of_run | {"time_s": None if mark_m is None else _time_to(reading, mark_m)}


def _time_to(reading: Reading, mark_m: float) -> float | None:
    motion = reading.motion
    past = np.flatnonzero(motion.distance_m >= mark_m)
    if not past.size or past[0] == 0:
        return None
    around = slice(past[0] - 1, past[0] + 1)
    at = np.interp(mark_m, motion.distance_m[around], motion.time_s[around])
    return float(at - motion.launch_s)


def _measured(store: Store, run_id: str, mark_m: float | None) -> Measured:
    """Nothing if the run cannot be read. Raises StoreWaitError."""
    try:
        run = stored_run(store.run(run_id))
        return measured_by_wheel(Readings(store).reading(run), mark_m)
    except StoreWaitError:
        raise
    except UnspoolError:
        return dict(NOTHING)


def _read(store: Store, contest: str) -> Contest | None:
    try:
        return contest_in(store, contest)
    except StoreWaitError:
        raise
    except StoreError:
        return None


def _note(
    store: Store, contest: str, state: Contest, one: Attempt, run_id: str, seen: int | None = None
) -> None:
    measured = _measured(store, run_id, state.rules.mark_m)
    data = {"entry": one.entry, "attempt": one.number, **measured}
    subject = f"{one.entry}/{one.number}"
    store.contests.add(contest, BY_ITSELF, Kind.RUN, data, subject, seen, run_id)


def _waiting(contest: Contest, car: str) -> Attempt | None:
    """The attempt that was called last of that car, if it has no run yet."""
    called = [
        one
        for entry in contest.competing()
        for one in entry.made()
        if one.called and one.wheel is None and _may_be(contest, one, car)
    ]
    if not car and len(called) > 1:
        return None
    return max(called, key=lambda one: one.revision, default=None)


def _may_be(contest: Contest, one: Attempt, car: str) -> bool:
    entry = contest.entries[one.entry]
    open_still = one.tape_m is None or contest.called == (one.entry, one.number)
    return open_still and (not car or same_name(entry.car, car))
