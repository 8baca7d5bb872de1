"""From a link into the store. The bytes of a board come in.

Captures and runs go into the store, and notices go to who looks on.
"""

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
from unspool.instrument.record.recorders import Recorders
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
    "Recorders",
    "RunContext",
    "RunEdges",
    "RunSaved",
    "rebuild",
]
