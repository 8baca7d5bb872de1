"""The states of a conversation with a board, and every way from one to another.

The host asks the board for its hello (REQUEST_SENT) until one comes that may be the answer; from
then on it is LISTENING. Three things make it ask again:

- A hello that nobody asked for. It has the board's constants, but a board sends edges only to a
  host that it has heard.
- OTHER_BOOT. A frame has the number of another boot: the board restarted, or the frame is an old
  one that the line delivered late. Or a hello has the number of another board, or nothing came for
  so long that another board may be there by now.
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


class HostState(Enum):
    """Where the conversation stands."""

    NO_BOARD = auto()  # no hello yet; a request is due
    NO_BOARD_ASKED = auto()  # no hello yet; one was requested
    ASK = auto()  # a board is known; a request is due
    ASKED = auto()  # a board is known; its hello was requested
    DOUBT = auto()  # the last hello went backward; a request is due
    DOUBT_ASKED = auto()  # the last hello went backward; another was requested
    LISTENING = auto()  # the board answered: edges arrive and are acknowledged


class HostEvent(Enum):
    """What moves it."""

    REQUEST_SENT = auto()
    HELLO = auto()  # of this program's message table, and not backward
    HELLO_BACKWARD = auto()
    OTHER_BOOT = auto()  # what comes, or a silence, leaves it open whose boot is there now


TRANSITIONS: dict[tuple[HostState, HostEvent], HostState] = {
    (HostState.NO_BOARD, HostEvent.REQUEST_SENT): HostState.NO_BOARD_ASKED,
    (HostState.NO_BOARD, HostEvent.HELLO): HostState.ASK,
    (HostState.NO_BOARD, HostEvent.OTHER_BOOT): HostState.NO_BOARD,
    (
        HostState.NO_BOARD_ASKED,
        HostEvent.REQUEST_SENT,
    ): HostState.NO_BOARD_ASKED,
    (HostState.NO_BOARD_ASKED, HostEvent.HELLO): HostState.LISTENING,
    (
        HostState.NO_BOARD_ASKED,
        HostEvent.OTHER_BOOT,
    ): HostState.NO_BOARD_ASKED,
    (HostState.ASK, HostEvent.REQUEST_SENT): HostState.ASKED,
    (HostState.ASK, HostEvent.HELLO): HostState.ASK,
    (HostState.ASK, HostEvent.HELLO_BACKWARD): HostState.DOUBT,
    (HostState.ASK, HostEvent.OTHER_BOOT): HostState.ASK,
    (HostState.ASKED, HostEvent.REQUEST_SENT): HostState.ASKED,
    (HostState.ASKED, HostEvent.HELLO): HostState.LISTENING,
    (HostState.ASKED, HostEvent.HELLO_BACKWARD): HostState.DOUBT_ASKED,
    (HostState.ASKED, HostEvent.OTHER_BOOT): HostState.ASKED,
    (HostState.DOUBT, HostEvent.REQUEST_SENT): HostState.DOUBT_ASKED,
    (HostState.DOUBT, HostEvent.HELLO): HostState.ASK,
    (HostState.DOUBT, HostEvent.HELLO_BACKWARD): HostState.DOUBT,
    (HostState.DOUBT, HostEvent.OTHER_BOOT): HostState.DOUBT,
    (HostState.DOUBT_ASKED, HostEvent.REQUEST_SENT): HostState.DOUBT_ASKED,
    (HostState.DOUBT_ASKED, HostEvent.HELLO): HostState.LISTENING,
    (HostState.DOUBT_ASKED, HostEvent.HELLO_BACKWARD): HostState.LISTENING,
    (HostState.DOUBT_ASKED, HostEvent.OTHER_BOOT): HostState.DOUBT_ASKED,
    (HostState.LISTENING, HostEvent.HELLO): HostState.LISTENING,
    (HostState.LISTENING, HostEvent.HELLO_BACKWARD): HostState.DOUBT,
    (HostState.LISTENING, HostEvent.OTHER_BOOT): HostState.ASK,
}

IN_DOUBT = frozenset({HostState.DOUBT, HostState.DOUBT_ASKED})


def conversation_states() -> StateMachine[HostState, HostEvent]:
    """The states of a conversation that begins."""
    return StateMachine(TRANSITIONS, HostState.NO_BOARD)
