"""A run's id is its row's number, in digits."""

from __future__ import annotations

from unspool.errors import InputError
from unspool.language import _
from unspool.store.place import Place


def number_of(run_id: str) -> int:
    """The row's number, 0 for what is no run's id: SQLite's integers have 64 bits."""
    return int(run_id) if run_id.isascii() and run_id.isdigit() and len(run_id) < 19 else 0


def no_run(run_id: str, place: Place) -> InputError:
    return InputError(
        _(
            "the store {place} has no run {run}; `unspool runs` lists those it has",
            place=place,
            run=repr(run_id),
        )
    )
