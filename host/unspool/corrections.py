"""Corrections: what somebody says of a run, found to fit the run before anything is changed."""

from __future__ import annotations

import getpass
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from unspool.errors import InputError
from unspool.language import _
from unspool.runs import car_of, stored_run
from unspool.said_faults import said_faults
from unspool.store import Field, Said, Store, StoredRun, Turns

LONGEST_NAME = 80
Changes = Mapping[Field, Said]

# What the reading of a run rests on; the others only stand beside it.
_READ = frozenset(Field) - {
    *(Field.TAPED_M, Field.TIMED_S, Field.NOTE, Field.TAGS, Field.DISCARDED)
}
_ATTRIBUTES = {Field.CAR: "car_text", Field.TRACK: "track_text", Field.TURNS: "said_turns"}


@dataclass(frozen=True)
class Correcting:
    """What is said of a run, and the revision of the run that it was said of."""

    run: StoredRun
    changes: Changes
    seen: int


def correct(
    store: Store, run_id: str, changes: Changes, who: str, seen: int | None = None
) -> StoredRun:
    """Keeps what somebody says of a run, wholly or not at all, and returns the run as it is then.

    seen: the revision that the changes were made to, None for the newest. Raises InputError if
    there is no such run, a value cannot be, the run would not fit its car, or somebody else
    corrected it since.
    """
    run = store.run(run_id)
    correct_each(store, [Correcting(run, changes, run.revision if seen is None else seen)], who)
    return store.run(run_id)


def correct_each(store: Store, given: Sequence[Correcting], who: str) -> dict[str, int]:
    """Corrects several runs: all of them, or none. Raises InputError as `correct` does.

    Returns the new revisions of those that changed.
    """
    for one in given:
        check(one.run, one.changes)
    return store.correct_each({one.run.id: (one.changes, one.seen) for one in given}, who)


def check(run: StoredRun, changes: Changes) -> None:
    """Raises InputError if the run cannot be as the changes say."""
    refuse_impossible(changes)
    if _READ & set(changes):
        stored_run(corrected(run, changes))


def refuse_impossible(changes: Changes) -> None:
    """Raises InputError for values that no run has."""
    faults = said_faults(changes)
    if faults:
        raise InputError("; ".join(map(str, faults)), faults)


def corrected(run: StoredRun, changes: Changes) -> StoredRun:
    """The run as the changes say."""
    read: dict[str, Any] = {
        _ATTRIBUTES.get(field, str(field)): value
        for field, value in changes.items()
        if field in _READ
    }
    return replace(run, **read)


def said(given: Mapping[str, Said]) -> dict[Field, Said]:
    """What was given, by the names of the fields; None is nothing said.

    A circumference that a person gives comes without a standard deviation.
    """
    changes: dict[Field, Said] = {
        Field(name): value for name, value in given.items() if value is not None
    }
    if Field.CIRCUMFERENCE_MM in changes:
        changes[Field.CIRCUMFERENCE_SD_MM] = None
    return changes


def on_tiers(run: StoredRun, turns: Sequence[float]) -> Turns:
    """Turns in the order of the drum, with its tiers' names.

    Raises InputError if they are not one for each tier, or the run has no car.
    """
    car = car_of(run)
    if len(turns) != len(car.drum):
        raise InputError(
            _(
                "run {run}: {count} counts of turns for the {tiers} tiers of {car};"
                " give one for each tier",
                run=run.id,
                count=len(turns),
                tiers=len(car.drum),
                car=car.name,
            )
        )
    return tuple((tier.name, float(n)) for tier, n in zip(car.drum, turns, strict=True))


def this_user() -> str:
    """The name of the computer's user who runs this."""
    try:
        name = getpass.getuser()
    except (OSError, KeyError, ImportError):
        name = ""
    return "".join(c for c in name if c.isprintable())[:LONGEST_NAME].strip() or "unknown"
