"""Runs, captures, cars and tracks in one database. Frozen values come in.

The same values go out; no object of the database leaves.
"""

from unspool.shelved import Chosen, How, Shelved, Version
from unspool.store.captures import CaptureLog
from unspool.store.rows import (
    Attempt,
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
    Tags,
    Tidied,
    Turns,
    Winding,
)
from unspool.store.shelf import Shelf
from unspool.store.store import Store, default_path

__all__ = [
    "Attempt",
    "BoardKey",
    "CaptureLog",
    "CaptureRow",
    "Chosen",
    "Chunk",
    "ClockRate",
    "Correction",
    "Field",
    "FoundRun",
    "How",
    "Imported",
    "KnownEdges",
    "Origin",
    "RunRow",
    "Said",
    "Shelf",
    "Shelved",
    "Store",
    "StoredRun",
    "Tags",
    "Tidied",
    "Turns",
    "Version",
    "Winding",
    "default_path",
]
