"""The recorder's notices, as lines in the terminal."""

from __future__ import annotations

from unspool.cli.notices import NoticeLines
from unspool.instrument.record import (
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    LinkChanged,
    Notice,
    Phase,
    PhaseChanged,
    RunSaved,
)


def lines(*notices: Notice) -> list[str]:
    notice_lines = NoticeLines()
    said = (notice_lines.line(notice).replace("\u00a0", " ") for notice in notices)
    return [line for line in said if line]


def test_a_session() -> None:
    assert lines(
        LinkChanged(True, "listening on serial:/dev/ttyX"),
        BoardSeen("atmega328p 0.1.0", 7, 2_000_000),
        PhaseChanged(Phase.WAITING, 0.0),
        PhaseChanged(Phase.WINDING, 0.5),
        PhaseChanged(Phase.WINDING, 3.0),
        PhaseChanged(Phase.READY, 8.8),
        PhaseChanged(Phase.RUNNING, 8.8),
        PhaseChanged(Phase.ENDED, 8.8),
        RunSaved("key", "3"),
    ) == [
        "listening on serial:/dev/ttyX",
        "board: atmega328p 0.1.0, boot 7",
        "ready to wind",
        "winding: keep hands and feet from under the weight",
        "wound: 8.80 turns",
        "running",
    ]


def test_a_marked_tier_is_said_once() -> None:
    assert lines(
        PhaseChanged(Phase.WINDING, 5.5),
        PhaseChanged(Phase.WINDING, 5.6, (5.5, 0.1)),
        PhaseChanged(Phase.WINDING, 5.7, (5.5, 0.2)),
    ) == [
        "winding: keep hands and feet from under the weight",
        "next tier, after 5.50 turns",
    ]


def test_a_cable_that_is_pulled_and_comes_back() -> None:
    down = LinkChanged(False, "the board is gone")
    assert lines(LinkChanged(True, "listening"), down, down, LinkChanged(True, "again")) == [
        "listening",
        "! the board is gone",
        "again",
    ]


def test_a_link_that_never_was_up_is_the_commands_error() -> None:
    assert lines(LinkChanged(False, "there is no such port")) == []


def test_trouble_of_the_board_is_said() -> None:
    assert lines(BoardTrouble("reset", "the board started again")) == ["! the board started again"]


def test_lost_edges_are_said() -> None:
    assert lines(EdgesMissed(12)) == ["! 12 edges were lost on the board: the record has a gap"]
    assert lines(EdgesMissed(1)) == ["! 1 edge was lost on the board: the record has a gap"]
