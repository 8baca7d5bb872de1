"""Corrections: what somebody says of a run, found to fit the run before anything is changed."""

from __future__ import annotations

import getpass
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite
from typing import Any

from unspool.errors import Fault, InputError
from unspool.runs import car_of, stored_run
from unspool.store import Field, Said, Store, StoredRun, Turns

LONGEST_NOTE = 500  # characters: a few sentences, short enough for a list
LONGEST_NAME = 80
MOST_TURNS = 500.0  # on one tier
MOST_TAPED_M = 1000.0
Changes = Mapping[Field, Said]

# What the reading of a run rests on; the others only stand beside it.
_READ = frozenset(Field) - {Field.TAPED_M, Field.NOTE, Field.DISCARDED}
_ATTRIBUTES = {Field.CAR: "car_text", Field.TRACK: "track_text", Field.TURNS: "said_turns"}


def correct(
    store: Store, run_id: str, changes: Changes, who: str, seen: int | None = None
) -> StoredRun:
    """Keeps what somebody says of a run, wholly or not at all, and returns the run as it is then.

    seen: the revision that the changes were made to, None for the newest. Raises InputError if
    there is no such run, a value cannot be, the run would not fit its car, or somebody else
    corrected it since.
    """
    run = store.run(run_id)
    check(run, changes)
    store.correct(run_id, changes, who, run.revision if seen is None else seen)
    return store.run(run_id)


def check(run: StoredRun, changes: Changes) -> None:
    """Raises InputError if the run cannot be as the changes say."""
    refuse_impossible(changes)
    if _READ & set(changes):
        stored_run(corrected(run, changes))


def refuse_impossible(changes: Changes) -> None:
    """Raises InputError for values that no run has."""
    faults = tuple(_faults(changes))
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
            f"run {run.id}: {len(turns)} counts of turns for the {len(car.drum)} tiers of"
            f" {car.name}; give one for each tier"
        )
    return tuple((tier.name, float(n)) for tier, n in zip(car.drum, turns, strict=True))


def this_user() -> str:
    """The name of the computer's user who runs this."""
    try:
        name = getpass.getuser()
    except (OSError, KeyError, ImportError):
        name = ""
    return "".join(c for c in name if c.isprintable())[:LONGEST_NAME].strip() or "unknown"


def _faults(changes: Changes) -> list[Fault]:
    found = []
    note, taped, turns = (changes.get(f) for f in (Field.NOTE, Field.TAPED_M, Field.TURNS))
    if isinstance(note, str) and len(note) > LONGEST_NOTE:
        found.append(Fault("note", f"{len(note)} characters", f"at most {LONGEST_NOTE}"))
    if isinstance(taped, float) and not 0.0 < taped <= MOST_TAPED_M:
        expected = f"metres above 0, at most {MOST_TAPED_M:g}"
        found.append(Fault("taped distance", f"{taped:g}", expected))
    if isinstance(turns, tuple):
        found += _turn_faults(turns)
    return found


def _turn_faults(turns: tuple[tuple[str, float], ...]) -> list[Fault]:
    expected = f"turns from 0 to {MOST_TURNS:g}"
    wrong = [
        Fault(f"turns on {tier}", f"{n:g}", expected)
        for tier, n in turns
        if not (isfinite(n) and 0.0 <= n <= MOST_TURNS)
    ]
    if not wrong and not any(n > 0.0 for _, n in turns):
        return [Fault("turns", "0 on each tier", "some on one tier at least")]
    return wrong
