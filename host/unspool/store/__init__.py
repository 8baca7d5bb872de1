"""Runs, captures, cars and tracks in one database. Frozen values come in.

The same values go out; no object of the database leaves.
"""

from unspool.shelved import Chosen, How, Shelved, Version
from unspool.store.captures import CaptureLog
from unspool.store.carried import Carried
from unspool.store.contests import Begun, Contests, Noted
from unspool.store.lines import Line
from unspool.store.opening import default_path
from unspool.store.pins import Hashed, KeptPin, Pins
from unspool.store.place import Place, Server, place_of
from unspool.store.rows import (
    Attempt,
    BoardCar,
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
    UnderWay,
    Winding,
)
from unspool.store.shelf import Shelf
from unspool.store.store import Store

__all__ = [
    "Attempt",
    "Begun",
    "BoardCar",
    "BoardKey",
    "CaptureLog",
    "CaptureRow",
    "Carried",
    "Chosen",
    "Chunk",
    "ClockRate",
    "Contests",
    "Correction",
    "Field",
    "FoundRun",
    "Hashed",
    "How",
    "Imported",
    "KeptPin",
    "KnownEdges",
    "Line",
    "Noted",
    "Origin",
    "Pins",
    "Place",
    "RunRow",
    "Said",
    "Server",
    "Shelf",
    "Shelved",
    "Store",
    "StoredRun",
    "Tags",
    "Tidied",
    "Turns",
    "UnderWay",
    "Version",
    "Winding",
    "default_path",
    "place_of",
]
