"""Runs, captures, cars and tracks in one database. Frozen values come in.

The same values go out; no object of the database leaves.
"""

from unspool.store.captures import CaptureLog
from unspool.store.rows import (
    CaptureRow,
    Chunk,
    ClockRate,
    FoundRun,
    Imported,
    KnownEdges,
    Origin,
    RunRow,
    StoredRun,
    Winding,
)
from unspool.store.runs import LONGEST_NOTE
from unspool.store.store import Store, default_path

__all__ = [
    "LONGEST_NOTE",
    "CaptureLog",
    "CaptureRow",
    "Chunk",
    "ClockRate",
    "FoundRun",
    "Imported",
    "KnownEdges",
    "Origin",
    "RunRow",
    "Store",
    "StoredRun",
    "Winding",
    "default_path",
]
