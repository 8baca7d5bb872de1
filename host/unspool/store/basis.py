"""Basis: a digest of the cells that a reading of a run rests on, without its edges.

The edges themselves are not in it, so that it takes no time to find for thousands of runs. A run
that was found again with other edges has another count of them, or other sizes of their columns.
"""

from __future__ import annotations

import hashlib
from typing import Any

from sqlalchemy import Column, Label, func

from unspool.store import schema
from unspool.store.cells import AnyRow

_RUNS = schema.runs.c
_CELLS = (
    *("edges", "missing", "lost_before", "ending", "wound_turns", "wound_steps", "clock_ppm"),
    *("clock_sd_ppm", "car_id", "track_id", "said_turns", "weight_g", "circumference_mm"),
    "circumference_sd_mm",
)
_BLOBS = ("time_s", "direction", "number")


def basis_columns() -> list[Column[Any] | Label[int]]:
    """What `basis_of` takes, to be selected."""
    return [*(_RUNS[name] for name in _CELLS), *stored_bytes()]


def stored_bytes() -> list[Label[int]]:
    """How large each column of edges is; the database knows that without reading them."""
    return [func.length(_RUNS[name]).label(f"{name}_bytes") for name in _BLOBS]


def basis_of(row: AnyRow) -> str:
    """Of a row with the columns of `basis_columns`."""
    sizes = [getattr(row, f"{name}_bytes") for name in _BLOBS]
    cells = [getattr(row, name) for name in _CELLS]
    return hashlib.sha256(repr((cells, sizes)).encode()).hexdigest()[:24]
