"""The states of a conversation with a board, and every way from one to another.

The host asks the board for its hello (REQUEST_SENT) until one comes that may be the answer; from
then on it is LISTENING. Three things make it ask again:

- A hello that nobody asked for. It tells the board's constants, but a board sends edges only to a
  host that it has heard.
- A frame with the number of another boot (OTHER_BOOT): the board restarted, or the frame is an old
  one that the line delivered late.
- A hello of the same boot with fewer edges than were received (HELLO_BACKWARD). The line may have
  repeated an old frame, so the first one is not believed. If the answer to the next request says
  the same, the board lost its memory and began again with the same boot number.

    NO_BOARD -> NO_BOARD_ASKED -> LISTENING <- ASKED  <- ASK
                                      |                   ^
                                      |---- OTHER_BOOT ---|
                                      |
                                      '- HELLO_BACKWARD -> DOUBT -> DOUBT_ASKED -> LISTENING
"""

from __future__ import annotations

from enum import Enum, auto

from unspool.instrument.state_machine import StateMachine


class State(Enum):
    """Where the conversation stands."""

    NO_BOARD = auto()  # no hello yet; a request is due
    NO_BOARD_ASKED = auto()  # no hello yet; one was requested
    ASK = auto()  # a board is known; a request is due
    ASKED = auto()  # a board is known; its hello was requested
    DOUBT = auto()  # the last hello went backward; a request is due
    DOUBT_ASKED = auto()  # the last hello went backward; another was requested
    LISTENING = auto()  # the board answered: edges arrive and are acknowledged


class Event(Enum):
    """What moves it."""

    REQUEST_SENT = auto()
    HELLO = auto()  # of this program's message table, and not backward
    HELLO_BACKWARD = auto()
    OTHER_BOOT = auto()  # edges, a status or samples of a boot whose hello is not known


TRANSITIONS: dict[tuple[State, Event], State] = {
    (State.NO_BOARD, Event.REQUEST_SENT): State.NO_BOARD_ASKED,
    (State.NO_BOARD, Event.HELLO): State.ASK,
    (State.NO_BOARD, Event.OTHER_BOOT): State.NO_BOARD,
    (State.NO_BOARD_ASKED, Event.REQUEST_SENT): State.NO_BOARD_ASKED,
    (State.NO_BOARD_ASKED, Event.HELLO): State.LISTENING,
    (State.NO_BOARD_ASKED, Event.OTHER_BOOT): State.NO_BOARD_ASKED,
    (State.ASK, Event.REQUEST_SENT): State.ASKED,
    (State.ASK, Event.HELLO): State.ASK,
    (State.ASK, Event.HELLO_BACKWARD): State.DOUBT,
    (State.ASK, Event.OTHER_BOOT): State.ASK,
    (State.ASKED, Event.REQUEST_SENT): State.ASKED,
    (State.ASKED, Event.HELLO): State.LISTENING,
    (State.ASKED, Event.HELLO_BACKWARD): State.DOUBT_ASKED,
    (State.ASKED, Event.OTHER_BOOT): State.ASKED,
    (State.DOUBT, Event.REQUEST_SENT): State.DOUBT_ASKED,
    (State.DOUBT, Event.HELLO): State.ASK,
    (State.DOUBT, Event.HELLO_BACKWARD): State.DOUBT,
    (State.DOUBT, Event.OTHER_BOOT): State.DOUBT,
    (State.DOUBT_ASKED, Event.REQUEST_SENT): State.DOUBT_ASKED,
    (State.DOUBT_ASKED, Event.HELLO): State.LISTENING,
    (State.DOUBT_ASKED, Event.HELLO_BACKWARD): State.LISTENING,
    (State.DOUBT_ASKED, Event.OTHER_BOOT): State.DOUBT_ASKED,
    (State.LISTENING, Event.HELLO): State.LISTENING,
    (State.LISTENING, Event.HELLO_BACKWARD): State.DOUBT,
    (State.LISTENING, Event.OTHER_BOOT): State.ASK,
}

IN_DOUBT = frozenset({State.DOUBT, State.DOUBT_ASKED})


def conversation_states() -> StateMachine[State, Event]:
    """The states of a conversation that begins."""
    return StateMachine(TRANSITIONS, State.NO_BOARD)
