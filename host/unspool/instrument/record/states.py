"""The states of a car's cycle as its wheel shows it, and every way from one to another.

A car rests; it is wound, which turns its wheel backwards; it rests again; it is let go and runs; it
rests. The run detector looks after each message of the board, and each look gives one event.

    WAITING -> WINDING <-> READY -> RUNNING -> ENDED -> WINDING -> ...

Any state but RUNNING may be launched from, as the board may have missed what came before. A car
that stopped with string left on its drum is READY_AGAIN. If that string comes off slowly, the phase
is ENDED once more.
"""

from __future__ import annotations

from enum import Enum, auto

from unspool.instrument.record.notices import Phase
from unspool.instrument.state_machine import StateMachine


class CycleState(Enum):
    """Where the car is in its cycle."""

    WAITING = auto()  # nothing wound, no run since
    WINDING = auto()  # wound and turning
    READY = auto()  # wound and at rest
    RUNNING = auto()
    ENDED = auto()  # nothing wound, after a run
    READY_AGAIN = auto()  # wound and at rest, not seen to be wound since the last run


class CycleEvent(Enum):
    """What the wheel shows."""

    SLACK = auto()  # less is wound than a quarter turn
    TURNING = auto()  # something is wound, and the wheel turned just now
    RESTING = auto()  # something is wound, and the wheel rests
    LAUNCHED = auto()
    RUN_KEPT = auto()  # the run is over
    RUN_DROPPED = auto()  # it was none: the car was only handled
    RESTARTED = auto()  # the board began again, and knows nothing of what was wound


_STANDING = [state for state in CycleState if state is not CycleState.RUNNING]
TRANSITIONS: dict[tuple[CycleState, CycleEvent], CycleState] = {
    (CycleState.WAITING, CycleEvent.SLACK): CycleState.WAITING,
    (CycleState.WAITING, CycleEvent.TURNING): CycleState.WINDING,
    (CycleState.WAITING, CycleEvent.RESTING): CycleState.READY,
    (CycleState.WINDING, CycleEvent.SLACK): CycleState.WAITING,
    (CycleState.WINDING, CycleEvent.TURNING): CycleState.WINDING,
    (CycleState.WINDING, CycleEvent.RESTING): CycleState.READY,
    (CycleState.READY, CycleEvent.SLACK): CycleState.WAITING,
    (CycleState.READY, CycleEvent.TURNING): CycleState.WINDING,
    (CycleState.READY, CycleEvent.RESTING): CycleState.READY,
    (CycleState.ENDED, CycleEvent.SLACK): CycleState.ENDED,
    (CycleState.ENDED, CycleEvent.TURNING): CycleState.WINDING,
    (CycleState.ENDED, CycleEvent.RESTING): CycleState.READY_AGAIN,
    (CycleState.READY_AGAIN, CycleEvent.SLACK): CycleState.ENDED,
    (CycleState.READY_AGAIN, CycleEvent.TURNING): CycleState.WINDING,
    (CycleState.READY_AGAIN, CycleEvent.RESTING): CycleState.READY_AGAIN,
    (CycleState.RUNNING, CycleEvent.RUN_KEPT): CycleState.ENDED,
    (CycleState.RUNNING, CycleEvent.RUN_DROPPED): CycleState.WAITING,
    **{(state, CycleEvent.LAUNCHED): CycleState.RUNNING for state in _STANDING},
    **{(state, CycleEvent.RESTARTED): CycleState.WAITING for state in _STANDING},
}

SLACK = frozenset({CycleState.WAITING, CycleState.ENDED})
WOUND_AT_REST = frozenset({CycleState.READY, CycleState.READY_AGAIN})
PHASES = {
    CycleState.WAITING: Phase.WAITING,
    CycleState.WINDING: Phase.WINDING,
    CycleState.READY: Phase.READY,
    CycleState.RUNNING: Phase.RUNNING,
    CycleState.ENDED: Phase.ENDED,
    CycleState.READY_AGAIN: Phase.READY,
}


def cycle_states() -> StateMachine[CycleState, CycleEvent]:
    """The states of a car that was not seen before."""
    return StateMachine(TRANSITIONS, CycleState.WAITING)
