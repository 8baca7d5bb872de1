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


class State(Enum):
    """Where the car is in its cycle."""

    WAITING = auto()  # nothing wound, no run since
    WINDING = auto()  # wound and turning
    READY = auto()  # wound and at rest
    RUNNING = auto()
    ENDED = auto()  # nothing wound, after a run
    READY_AGAIN = auto()  # wound and at rest, not seen to be wound since the last run


class Event(Enum):
    """What the wheel shows."""

    SLACK = auto()  # less is wound than a quarter turn
    TURNING = auto()  # something is wound, and the wheel turned just now
    RESTING = auto()  # something is wound, and the wheel rests
    LAUNCHED = auto()
    RUN_KEPT = auto()  # the run is over
    RUN_DROPPED = auto()  # it was none: the car was only handled
    RESTARTED = auto()  # the board began again, and knows nothing of what was wound


_STANDING = [state for state in State if state is not State.RUNNING]
TRANSITIONS: dict[tuple[State, Event], State] = {
    (State.WAITING, Event.SLACK): State.WAITING,
    (State.WAITING, Event.TURNING): State.WINDING,
    (State.WAITING, Event.RESTING): State.READY,
    (State.WINDING, Event.SLACK): State.WAITING,
    (State.WINDING, Event.TURNING): State.WINDING,
    (State.WINDING, Event.RESTING): State.READY,
    (State.READY, Event.SLACK): State.WAITING,
    (State.READY, Event.TURNING): State.WINDING,
    (State.READY, Event.RESTING): State.READY,
    (State.ENDED, Event.SLACK): State.ENDED,
    (State.ENDED, Event.TURNING): State.WINDING,
    (State.ENDED, Event.RESTING): State.READY_AGAIN,
    (State.READY_AGAIN, Event.SLACK): State.ENDED,
    (State.READY_AGAIN, Event.TURNING): State.WINDING,
    (State.READY_AGAIN, Event.RESTING): State.READY_AGAIN,
    (State.RUNNING, Event.RUN_KEPT): State.ENDED,
    (State.RUNNING, Event.RUN_DROPPED): State.WAITING,
    **{(state, Event.LAUNCHED): State.RUNNING for state in _STANDING},
    **{(state, Event.RESTARTED): State.WAITING for state in _STANDING},
}

PHASES = {
    State.WAITING: Phase.WAITING,
    State.WINDING: Phase.WINDING,
    State.READY: Phase.READY,
    State.RUNNING: Phase.RUNNING,
    State.ENDED: Phase.ENDED,
    State.READY_AGAIN: Phase.READY,
}


def cycle_states() -> StateMachine[State, Event]:
    """The states of a car that was not seen before."""
    return StateMachine(TRANSITIONS, State.WAITING)
