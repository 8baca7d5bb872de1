"""Runs, captures, cars and tracks in one database. Frozen values come in.

The same values go out; no object of the database leaves.
"""

from unspool.store.captures import CaptureLog
from unspool.store.rows import (
    CaptureRow,
    Chunk,
    ClockRate,
    Correction,
    Field,
    FoundRun,
    Imported,
    KnownEdges,
    Origin,
    RunRow,
    Said,
    StoredRun,
    Turns,
    Winding,
)
from unspool.store.store import Store, default_path

__all__ = [
    "CaptureLog",
    "CaptureRow",
    "Chunk",
    "ClockRate",
    "Correction",
    "Field",
    "FoundRun",
    "Imported",
    "KnownEdges",
    "Origin",
    "RunRow",
    "Said",
    "Store",
    "StoredRun",
    "Turns",
    "Winding",
    "default_path",
]
