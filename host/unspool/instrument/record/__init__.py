"""From a link into the store: captures as they arrive, runs as they happen."""

from unspool.instrument.record.notices import (
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
from unspool.instrument.record.recorder import Recorder
from unspool.instrument.record.replay_capture import rebuild
from unspool.instrument.record.run_context import RunContext

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
    "RunContext",
    "RunEdges",
    "RunSaved",
    "rebuild",
]
