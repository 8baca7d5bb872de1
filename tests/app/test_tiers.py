"""The turns on each tier while winding, and when there is a next tier to go on to."""

from __future__ import annotations

from typing import Any

import pytest

import sample_run
from app_parts import LINK_UP, make_live_state
from unspool.app.cursor import Cursor
from unspool.app.live_state import LiveState
from unspool.app.live_status import LiveStatus
from unspool.app.tiers import tier_rows
from unspool.errors import InputError
from unspool.instrument.record.notices import Phase, PhaseChanged

T = "\u00a0turns"


def _rows(turns: float, steps: tuple[float, ...] = ()) -> list[tuple[Any, ...]]:
    """The sample car: 5.5 turns on run, wound first, then 3.5 on start."""
    status = LiveStatus(
        sample_run.sample_car(),
        phase=Phase.WINDING,
        link_up=True,
        wound_turns=turns,
        wound_steps=steps,
    )
    return [(row["name"], row["turns"], row["now"]) for row in tier_rows(status)]


@pytest.mark.parametrize(
    ("turns", "steps", "run", "start", "now"),
    [
        (0.0, (), "0.00", "0.00", "run"),
        (2.25, (), "2.25", "0.00", "run"),
        (6.0, (), "5.50", "0.50", "start"),
        (9.5, (), "5.50", "4.00", "start"),
        (5.0, (4.75, 0.25), "4.75", "0.25", "start"),
    ],
)
def test_turns_are_those_wound_on_each_tier(
    turns: float, steps: tuple[float, ...], run: str, start: str, now: str
) -> None:
    assert _rows(turns, steps) == [
        ("run", f"{run} of 5.50{T}", now == "run"),
        ("start", f"{start} of 3.50{T}", now == "start"),
    ]


def _winding(*steps: float) -> tuple[LiveState, list[str]]:
    live, marks = make_live_state(), []
    live.use_marks(lambda: marks.append("mark"))
    live(LINK_UP)
    live(PhaseChanged(Phase.WINDING, sum(steps) or 3.0, steps))
    return live, marks


def test_a_mark_reaches_the_recorder_and_names_the_next_tier() -> None:
    live, marks = _winding()
    assert live.mark_tier() == "start"
    assert marks == ["mark"]


def test_no_mark_goes_beyond_the_drums_last_tier() -> None:
    live, marks = _winding(5.0, 0.5)
    with pytest.raises(InputError, match=r"last tier already, start"):
        live.mark_tier()
    assert marks == []


@pytest.mark.parametrize("phase", [Phase.WAITING, Phase.RUNNING, Phase.ENDED])
def test_there_is_nothing_to_mark_unless_something_is_wound(phase: Phase) -> None:
    live, marks = _winding()
    live(PhaseChanged(phase, 0.0))
    with pytest.raises(InputError, match="Nothing is being wound"):
        live.mark_tier()
    assert marks == []


def test_a_mark_changes_what_is_expected() -> None:
    """app_parts: a metre a turn; with 5 and 4 turns marked, all 9 count whatever was planned."""
    live, _ = _winding(5.0, 4.0)
    news = live.news(Cursor())
    assert news is not None
    assert [tier["turns"] for tier in news["state"]["tiers"]] == [
        f"5.00 of 5.50{T}",
        f"4.00 of 3.50{T}",
    ]
