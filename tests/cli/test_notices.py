"""The recorder's notices, as lines in the terminal."""

from __future__ import annotations

from unspool.cli.notices import NoticeLines
from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
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
from unspool.render.words.findings import sentence


def lines(*notices: Notice) -> list[str]:
    notice_lines = NoticeLines()
    said = (notice_lines.line(notice).replace("\u00a0", " ") for notice in notices)
    return [line for line in said if line]


def test_a_session() -> None:
    assert lines(
        LinkChanged(True, note(RecordCode.LISTENING, link="/dev/ttyX")),
        BoardSeen("atmega328p 0.1.0", 7, 2_000_000),
        PhaseChanged(Phase.WAITING, 0.0),
        PhaseChanged(Phase.WINDING, 0.5),
        PhaseChanged(Phase.WINDING, 3.0),
        PhaseChanged(Phase.READY, 8.8),
        PhaseChanged(Phase.RUNNING, 8.8),
        PhaseChanged(Phase.ENDED, 8.8),
        RunSaved("key", "3"),
    ) == [
        "Listening on /dev/ttyX.",
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
    up, again = (
        LinkChanged(True, note(code, link="replay:x"))
        for code in (RecordCode.LISTENING, RecordCode.LISTENING_AGAIN)
    )
    down = LinkChanged(False, warning(RecordCode.LINK_FAILED, reason="the board is gone"))
    assert lines(up, down, down, again) == [
        "Listening on replay:x.",
        "! The board is gone.",
        "Listening on replay:x again.",
    ]


def test_a_link_that_never_was_up_is_the_commands_error() -> None:
    gone = warning(RecordCode.LINK_FAILED, reason="there is no such port")
    assert lines(LinkChanged(False, gone)) == []


def test_trouble_of_the_board_is_said() -> None:
    low = warning(RecordCode.BATTERY_LOW, battery_v=3.7)
    assert lines(BoardTrouble(low)) == [f"! {sentence(low)}".replace("\u00a0", " ")]


def test_lost_edges_are_said() -> None:
    assert lines(EdgesMissed(12)) == [f"! {sentence(EdgesMissed(12).finding)}"]
