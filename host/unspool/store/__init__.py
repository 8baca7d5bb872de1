"""Runs, captures, cars and tracks in one database. Frozen values come in.

The same values go out; no object of the database leaves.
"""

from unspool.store.captures import CaptureLog
from unspool.store.rows import (
    BoardKey,
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
    Tidied,
    Turns,
    Winding,
)
from unspool.store.store import Store, default_path

__all__ = [
    "BoardKey",
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
    "Tidied",
    "Turns",
    "Winding",
    "default_path",
]
