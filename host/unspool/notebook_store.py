"""unspool in a notebook: the store, its runs, and what is said of them."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from unspool.render.frames import frame

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from unspool.reading.events.types import Reading
    from unspool.store import Store
    from unspool.study.measured_run import MeasuredRun


def open_store(path: Path | str | None = None) -> Store:
    """The store at `path`, a file or a database's address, or the user's own; use it in a `with`.

    Raises StoreError.
    """
    from unspool.store import Store, place_of

    return Store.open(place_of(path) if isinstance(path, str) else path)


def runs_frame(store: Store) -> pd.DataFrame:
    """One row a run of the store."""
    return frame([asdict(row) for row in store.runs()])


def stored_run(store: Store, run_id: str) -> MeasuredRun:
    """A run as it was measured and corrected: edges, car, track, and the turns on each tier.

    Its turns_from says whether the recorder counted them, a person said them, or they are planned.
    Raises InputError if there is no such run, or it has no car.
    """
    from unspool import runs

    return runs.stored_run(store.run(run_id))


def read_run(store: Store, run_id: str) -> Reading:
    """The reading of a run of the store, kept there. Raises as `stored_run` and `analyse`."""
    from unspool.kept import Readings

    return Readings(store).reading(stored_run(store, run_id))


def correct_run(
    store: Store,
    run_id: str,
    *,
    turns: Sequence[float] | None = None,
    weight_g: float | None = None,
    circumference_mm: float | None = None,
    taped_m: float | None = None,
    note: str | None = None,
) -> MeasuredRun:
    """Keeps what you say of a run, None for nothing, and returns the run as it is then.

    turns: one for each tier, in drum order. What was known before stays in `store.history(run_id)`.
    Raises InputError if it does not fit the run; then nothing is changed.
    """
    from unspool import corrections

    given = {
        "turns": None if turns is None else corrections.on_tiers(store.run(run_id), turns),
        "weight_g": weight_g,
        "circumference_mm": circumference_mm,
        "taped_m": taped_m,
        "note": note,
    }
    corrections.correct(store, run_id, corrections.said(given), corrections.this_user())
    return stored_run(store, run_id)
