"""A line that comes again and again is said once, and then with how often it came."""

from __future__ import annotations

from itertools import count

from unspool.cli.notices import NoticeLines
from unspool.cli.repeats import MOST_KINDS, QUIET_S, Repeats
from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record import BoardSeen, BoardTrouble, EdgesMissed


def test_repeated_lines_are_counted_whatever_their_numbers() -> None:
    repeats = Repeats(lambda: 0.0)
    said = [line for n in range(2500) if (line := repeats.line(f"boot {n}"))]
    assert said == ["boot 0", "boot 9 (10 times)", "boot 99 (100 times)", "boot 999 (1000 times)"]
    assert repeats.line("another") == "another"


def test_after_a_quiet_time_a_line_is_news() -> None:
    clock = count(0.0, QUIET_S + 1.0)
    repeats = Repeats(lambda: next(clock))
    assert [repeats.line("low") for _ in range(3)] == ["low"] * 3


def test_lines_that_are_never_the_same_are_one_kind() -> None:
    repeats = Repeats(lambda: 0.0)
    texts = ("".join(chr(97 + (n // 26**k) % 26) for k in range(4)) for n in range(5000))
    assert sum(bool(repeats.line(text)) for text in texts) == MOST_KINDS + 4


def test_a_board_that_restarts_without_end_fills_no_terminal() -> None:
    lines = NoticeLines()
    restarted = BoardTrouble(warning(RecordCode.BOARD_RESTARTED, cause="brown_out"))
    said = [lines.line(notice) for n in range(1000) for notice in (BoardSeen("a", n, 1), restarted)]
    assert len([line for line in said if line]) == 8


def test_each_gap_is_said_with_its_number() -> None:
    lines = NoticeLines()
    said = [lines.line(EdgesMissed(n)) for n in (271, 12, 12, 12, 40)]
    assert [bool(line) for line in said] == [True, True, True, False, True]
