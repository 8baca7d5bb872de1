"""Runs to compare, made of the sample reading with chosen figures."""

from __future__ import annotations

from dataclasses import replace

import sample_run
from unspool.study.compare import ComparedRun


def ran(
    name: str,
    distance_m: float,
    winding: tuple[float, float] = (3.5, 5.5),
    turn: tuple[str, float] | None = None,
    note: str = "",
    **car: object,
) -> ComparedRun:
    reading = sample_run.sample_reading(distance_m=distance_m, winding=winding, findings=())
    ran_car = replace(sample_run.sample_car(), **car)
    return ComparedRun(name, reading, ran_car, note=note, turn=turn)


def in_turns(short: tuple[float, ...], long: tuple[float, ...], order: str) -> list[ComparedRun]:
    """order: "ABBA" takes A from short and B from long, in this order of one sitting."""
    left = {"A": iter(short), "B": iter(long)}
    winding = {"A": (3.5, 5.5), "B": (1.5, 8.5)}
    return [
        ran(f"run {i}", next(left[which]), winding[which], turn=("capture 1", float(i)))
        for i, which in enumerate(order)
    ]
