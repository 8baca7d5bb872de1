"""The codes of what is found of a board, its link and a recording.

They stand beside `record`, not in it: the sentences in `unspool.render.words.board` need them
without the recorder and its database.
"""

from __future__ import annotations

from enum import StrEnum


class RecordCode(StrEnum):
    """Each is the code of a Finding; docs/formats.md lists the values that go with it."""

    LISTENING = "listening"
    LISTENING_AGAIN = "listening_again"
    LINK_FAILED = "link_failed"
    NO_BOARD_ANSWERS = "no_board_answers"
    BOARD_RESTARTED = "board_restarted"
    BOARD_RESET = "board_reset"
    BOARD_RESTARTED_BEFORE = "board_restarted_before"
    BATTERY_LOW = "battery_low"
    CAPTURE_SET_ASIDE = "capture_set_aside"
    STORE_WAITS = "store_waits"
    STORE_WRITES_AGAIN = "store_writes_again"
    OBSERVER_FAILED = "observer_failed"
    EDGES_DO_NOT_ARRIVE = "edges_do_not_arrive"
    EDGES_ARRIVE_AGAIN = "edges_arrive_again"
    BOARD_SILENT = "board_silent"
    EDGES_LOST_ON_BOARD = "edges_lost_on_board"
