"""`unspool rollout --correct`: the runs of the wheel that was rolled out."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import existing_store, is_stored
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.car.of_run import CountedWheel
    from unspool.study.rollout import RollOut

Correct = Annotated[
    bool, typer.Option("--correct", help="Give this circumference to all runs of the wheel.")
]
Since = Annotated[
    str | None,
    typer.Option(metavar="DATE", help="With --correct: only runs from this day on: 2026-05-01."),
]


def since_of(text: str | None, correct: bool) -> datetime | None:
    """The beginning of the day, on this computer's clock. Raises InputError."""
    if text is None:
        return None
    if not correct:
        raise InputError("--since needs --correct; add it, or leave it out")
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError, OSError):
        raise InputError(
            f'--since: found "{text[:40]}", expected a date such as 2026-05-01'
        ) from None


def correct_runs(
    out: RollOut, push: str, cars: list[Path], store: str | None, since: datetime | None
) -> list[str]:
    """The ids of the runs that got the circumference. Raises InputError if nothing is proposed.

    push: one of the pushes, which says which wheel it was.
    """
    from unspool.corrections import this_user
    from unspool.wheel_corrections import correct_wheel, proposed_circumference

    found = proposed_circumference(out)
    wheel = _wheel_of(push, cars, store)
    with existing_store(store) as opened:
        return correct_wheel(opened, wheel, found.value, found.sd, this_user(), since)


def _wheel_of(push: str, cars: list[Path], store: str | None) -> CountedWheel:
    from unspool.car.of_run import counted_wheel
    from unspool.car.toml_source import read_text

    text, source = None, f"the car of run {push}"
    if cars:
        text, source = read_text(cars[0]), str(cars[0])
    elif is_stored(push):
        with existing_store(store) as opened:
            text = opened.run(push).car_text
    wheel = counted_wheel(text, source) if text is not None else None
    if wheel is None:
        raise InputError(f"{source} does not say which wheel is counted, so no run is corrected")
    return wheel
