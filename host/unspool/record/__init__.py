"""From a link into the store: captures as they arrive, runs as they happen."""

from unspool.record.notices import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    LinkChanged,
    Notice,
    Observer,
    Phase,
    PhaseChanged,
    RunEdges,
    RunSaved,
)
from unspool.record.rebuild import rebuild
from unspool.record.recorder import Recorder
from unspool.record.subject import Subject

__all__ = [
    "BoardHealth",
    "BoardSeen",
    "BoardTrouble",
    "EdgesMissed",
    "LinkChanged",
    "Notice",
    "Observer",
    "Phase",
    "PhaseChanged",
    "Recorder",
    "RunEdges",
    "RunSaved",
    "Subject",
    "rebuild",
]
