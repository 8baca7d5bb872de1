"""A roll-out corrects every run of its wheel."""

from __future__ import annotations

from datetime import datetime

from unspool.car.of_run import CountedWheel, counted_wheel
from unspool.corrections import Correcting, correct_each
from unspool.errors import InputError, UnspoolError
from unspool.language import _
from unspool.store import Field, Said, Store, StoredRun
from unspool.study.rollout import IntervalEstimate, RollOut

LEAST_SD_MM = 1e-3  # that a car file takes


def proposed_circumference(out: RollOut) -> IntervalEstimate:
    """What the pushes propose for the runs of the wheel. Raises InputError if it is nothing."""
    if out.proposed_m is None:
        raise InputError(_("the pushes do not agree on a circumference, so no run is corrected"))
    if out.proposed_edges != out.edges_per_turn:
        raise InputError(
            _(
                "the pushes find {found} edges a turn, and the car file says {said};"
                " mend pulses_per_turn first, so no run is corrected",
                found=out.proposed_edges,
                said=out.edges_per_turn,
            )
        )
    return out.proposed_m


def correct_wheel(
    store: Store,
    wheel: CountedWheel,
    circumference_m: float,
    sd_m: float,
    who: str,
    since: datetime | None = None,
) -> list[str]:
    """Gives all runs of the wheel this rolling circumference, and returns their ids.

    since: only runs that began then or later. Raises InputError if a run cannot have it; then none
    is changed.
    """
    changes: dict[Field, Said] = {
        Field.CIRCUMFERENCE_MM: 1e3 * circumference_m,
        Field.CIRCUMFERENCE_SD_MM: max(1e3 * sd_m, LEAST_SD_MM),
    }
    runs = [run for run in _runs(store) if _is_of(run, wheel, since)]
    correct_each(store, [Correcting(run, changes, run.revision) for run in runs], who)
    return [run.id for run in runs]


def _runs(store: Store) -> list[StoredRun]:
    """All runs that can be read from the store."""
    found = []
    for row in store.runs():
        try:
            found.append(store.run(row.id))
        except UnspoolError:  # damaged: the list of runs says so
            continue
    return found


def _is_of(run: StoredRun, wheel: CountedWheel, since: datetime | None) -> bool:
    if run.car_text is None or (since is not None and run.started_at < since):
        return False
    try:
        return counted_wheel(run.car_text, f"the car of run {run.id}") == wheel
    except UnspoolError:
        return False
