"""The banner says what is most important now, and nothing that is not so."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

import sample_run
from app_parts import LINK_DOWN, LINK_UP, make_live_state
from unspool.app.banner import Tone, banner
from unspool.app.cursor import Cursor
from unspool.app.live_boards import LiveBoards
from unspool.app.live_state import LiveState
from unspool.app.live_status import LiveStatus
from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    LinkChanged,
    Phase,
    PhaseChanged,
)
from unspool.instrument.wire.table import ResetCause

M = "\u00a0m"
SILENT = BoardTrouble(warning(RecordCode.BOARD_SILENT, link="COM7"))
NOBODY = LinkChanged(True, warning(RecordCode.NO_BOARD_ANSWERS, link="COM7", there="nothing"))


def _status(phase: Phase, **more: Any) -> LiveStatus:
    usual = {"link_up": True, "prediction": sample_run.sample_prediction(), "phase": phase}
    return LiveStatus(sample_run.sample_car(), **(usual | more))


@pytest.mark.parametrize(
    ("phase", "tone"),
    [
        (Phase.NO_LINK, Tone.QUIET),
        (Phase.WAITING, Tone.READY),
        (Phase.WINDING, Tone.WINDING),
        (Phase.READY, Tone.WOUND),
        (Phase.RUNNING, Tone.RUNNING),
        (Phase.ENDED, Tone.ENDED),
    ],
)
def test_a_sound_board_shows_the_cars_phase(phase: Phase, tone: Tone) -> None:
    assert banner(_status(phase)).tone is tone


@pytest.mark.parametrize("phase", [Phase.WINDING, Phase.READY])
def test_a_raised_weight_comes_with_its_caution(phase: Phase) -> None:
    assert "keep hands and feet from under it" in banner(_status(phase)).advice
    faults: tuple[dict[str, Any], ...] = (
        {"battery_low": True, "battery_v": 3.3},
        {"link_up": False, "lost_at": datetime(2026, 11, 27, 12, tzinfo=UTC)},
    )
    for fault in faults:
        said = banner(_status(phase, **fault))
        assert said.tone is Tone.ALARM
        assert "keep hands and feet from under it" in said.advice


def test_a_run_says_where_it_should_stop() -> None:
    advice = banner(_status(Phase.RUNNING)).advice
    assert advice == f"Before the start, its stop was expected between 11.3{M} and 14.0{M}."


@pytest.mark.parametrize("phase", list(Phase))
@pytest.mark.parametrize(
    ("trouble", "headline"),
    [
        ({"link_up": False}, "No board"),
        ({"link_up": False, "lost_at": datetime(2026, 11, 27, 12, tzinfo=UTC)}, "Link lost since"),
        ({"link_code": RecordCode.NO_BOARD_ANSWERS}, "Silent board"),
        ({"trouble": SILENT.finding}, "Silent board"),
    ],
)
def test_what_keeps_a_run_from_being_recorded_outranks_the_phase(
    phase: Phase, trouble: dict[str, Any], headline: str
) -> None:
    shown = banner(_status(phase, battery_low=True, **trouble))
    assert shown.headline.startswith(headline)


def test_lost_edges_cut_a_run_off() -> None:
    assert banner(_status(Phase.RUNNING, missed=3)).headline == "Cut off"
    restarted = {"trouble": warning(RecordCode.BOARD_RESTARTED, cause="watchdog")}
    assert banner(_status(Phase.ENDED, **restarted)).headline == "Cut off"
    assert banner(_status(Phase.WAITING, **restarted)).headline == "Ready to wind"


def test_nothing_is_recorded_without_a_car() -> None:
    assert banner(LiveStatus()).tone is Tone.QUIET
    ended = banner(LiveStatus(ended_by="there is no port COM7"))
    assert (ended.tone, ended.advice) == (Tone.ALARM, "There is no port COM7.")


def test_the_end_of_all_runs_is_said_beside_the_last_result() -> None:
    for phase in (Phase.WAITING, Phase.ENDED):
        assert banner(_status(phase, done="That was all.")).advice == "That was all."
    assert banner(_status(Phase.RUNNING, done="That was all.")).tone is Tone.RUNNING


def _headline(live: LiveState) -> str:
    return live.banner().headline


def test_a_board_that_answers_late_is_ready_and_one_that_falls_silent_is_not() -> None:
    live = make_live_state()
    live(LINK_UP)
    live(NOBODY)
    assert _headline(live) == "Silent board"
    live(BoardSeen("unspool", 1, 2_000_000))
    live(PhaseChanged(Phase.WAITING, 0.0))
    assert _headline(live) == "Ready to wind"
    live(SILENT)
    assert _headline(live) == "Silent board"
    live(BoardTrouble(warning(RecordCode.EDGES_ARRIVE_AGAIN, link="COM7")))
    assert _headline(live) == "Ready to wind"
    live(LINK_DOWN)
    assert _headline(live).startswith("Link lost since ")
    live(LINK_UP)
    assert _headline(live) == "Ready to wind"


def test_a_page_beside_track_hears_of_the_banner_alone() -> None:
    live = make_live_state()
    live(LINK_UP)
    live(PhaseChanged(Phase.WAITING, 0.0))
    lives = LiveBoards([live])
    first = lives.news(Cursor(brief=True))
    assert first is not None
    assert set(first) == {"session", "version", "state"}
    known = Cursor(first["session"], first["version"], brief=True)
    live(BoardHealth(5.0, 0, ResetCause.POWER_ON))
    assert lives.news(known) is None
    live(PhaseChanged(Phase.WINDING, 0.2))
    second = lives.news(known)
    assert second is not None
    assert second["state"]["banner"]["tone"] == "winding"
