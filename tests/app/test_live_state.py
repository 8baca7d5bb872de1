"""The hub answers each page with what it lacks, whatever the page missed before."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from threading import Event, Thread
from threading import enumerate as enumerate_threads
from typing import Any

import numpy as np
import pytest

import sample_run
from app_parts import LINK_DOWN, LINK_UP, edges, make_live_state
from unspool.app.cursor import Cursor
from unspool.app.live_state import LiveState
from unspool.errors import InputError, StoreWaitError
from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import (
    BoardHealth,
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    Phase,
    PhaseChanged,
    RunSaved,
)
from unspool.instrument.wire.table import ResetCause
from unspool.language import in_language
from unspool.model.outcome import Prediction
from unspool.reading.events.types import Reading
from unspool.reading.motion import LiveMotion
from unspool.render.words.findings import sentence
from unspool.render.words.reading_units import ReadingUnits, reading_in


def _after(news: dict[str, Any], have: int = 0) -> Cursor:
    return Cursor(news["session"], news["version"], news["figure_version"], news["run"], have)


def _ask(live: LiveState, cursor: Cursor | None = None) -> dict[str, Any]:
    news = live.news(cursor or Cursor())
    assert news is not None
    return news


def _when(live: LiveState, ready: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """The first whole answer that is as awaited."""
    give_up = time.monotonic() + 60.0
    while not ready(news := _ask(live)):
        assert time.monotonic() < give_up
        time.sleep(0.005)
    return news


def _running(*, upto: int = 100) -> LiveState:
    live = make_live_state()
    live(LINK_UP)
    live(PhaseChanged(Phase.RUNNING, 0.0))
    live(edges("first", 0, upto))
    return live


def test_a_page_that_knows_nothing_gets_everything() -> None:
    news = _ask(_running())
    assert (news["from"], len(news["x"]), len(news["v"])) == (0, 100, 100)
    assert [t["name"] for t in news["figure"]["data"][:2]] == ["expected", "measured"]
    assert news["state"]["banner"]["headline"] == "Running"


def test_a_page_that_knows_everything_gets_nothing() -> None:
    live = _running()
    cursor = _after(_ask(live), have=100)
    assert not live.has_news(cursor)
    assert live.news(cursor) is None


def test_points_are_those_of_the_live_motion_to_a_tenth_of_a_millimetre() -> None:
    part = edges("first", 0, 100)
    points = LiveMotion(sample_run.sample_car()).push(part.time_s, part.direction, part.number)
    news = _ask(_running())
    assert np.abs(np.array(news["x"]) - points.distance_m).max() <= 5.1e-5
    assert np.abs(np.array(news["v"]) - points.speed_m_s).max() <= 5.1e-5


def test_a_winding_just_before_the_launch_is_no_part_of_the_way() -> None:
    run = edges("run", 0, 300)
    wound, first = 50, run.time_s[0] - 0.5
    before = first + np.linspace(-0.5, 0.0, wound)
    started = replace(
        run,
        time_s=np.concatenate([before, run.time_s]),
        direction=np.concatenate([np.full(wound, -1, np.int8), run.direction]),
        number=np.concatenate([run.number[0] - np.arange(wound, 0, -1), run.number]),
    )
    alone, after = make_live_state(), make_live_state()
    for live, notice in ((alone, run), (after, started)):
        live(LINK_UP)
        live(PhaseChanged(Phase.RUNNING, 9.0))
        live(notice)
    known, shown = alone.news(Cursor()), after.news(Cursor())
    assert known is not None
    assert shown is not None
    assert (shown["x"], shown["v"]) == (known["x"], known["v"])


def test_slices_join_to_the_whole_run_without_doubles() -> None:
    live = _running(upto=10)
    first = _ask(live)
    live(edges("first", 10, 25))
    live(edges("first", 25, 60))
    second = _ask(live, _after(first, have=10))
    assert (second["from"], len(second["x"])) == (10, 50)
    assert "figure" not in second
    assert first["x"] + second["x"] == _ask(live)["x"]


def test_a_new_run_starts_at_nothing() -> None:
    live = _running()
    cursor = _after(_ask(live), have=100)
    live(edges("second", 0, 7))
    news = _ask(live, cursor)
    assert (news["run"], news["from"], len(news["x"])) == ("second", 0, 7)


def test_a_page_from_before_a_restart_starts_at_nothing() -> None:
    stale = replace(_after(_ask(_running()), have=100), session="before")
    news = _ask(_running(), stale)
    assert (news["from"], len(news["x"])) == (0, 100)
    assert "figure" in news


def test_winding_clears_the_last_run_and_moves_the_expectation() -> None:
    live = _running()
    live(PhaseChanged(Phase.WINDING, 4.0))
    news = _ask(live)
    assert news["x"] == []
    # app_parts: a metre a wound turn
    assert news["state"]["dials"][2] == {"label": "should roll", "value": "4.00", "unit": "m"}


def test_a_nudge_backwards_leaves_the_plan() -> None:
    live = make_live_state()
    live(LINK_UP)
    live(PhaseChanged(Phase.WINDING, 0.1))
    assert _ask(live)["state"]["dials"][2]["value"] == "9.00"


def test_a_car_that_the_model_refuses_is_followed_all_the_same() -> None:
    def refuse(*_: object) -> Prediction:
        raise InputError("nothing would ever stop this car")

    live = LiveState(sample_run.sample_car(), predict=refuse)
    live(LINK_UP)
    live(PhaseChanged(Phase.RUNNING, 3.0))
    live(edges("first", 0, 30))
    news = _ask(live)
    assert len(news["x"]) == 30
    assert news["state"]["banner"]["advice"] == ""


def test_the_result_stays_up_until_the_next_winding() -> None:
    live = _running()
    live(PhaseChanged(Phase.ENDED, 0.0))
    live(PhaseChanged(Phase.WAITING, 0.0))
    assert _ask(live)["state"]["banner"]["headline"] == "Attempt over"
    live(PhaseChanged(Phase.WINDING, 1.0))
    assert _ask(live)["state"]["banner"]["headline"] == "Winding"


def test_a_saved_run_shows_what_its_reading_found() -> None:
    asked: list[str] = []

    def read(run_id: str) -> Any:
        asked.append(run_id)
        return sample_run.sample_reading(distance_m=12.25)

    live = make_live_state(read=read)
    live(LINK_UP)
    live(edges("first", 0, 100))
    live(PhaseChanged(Phase.ENDED, 0.0))
    live(RunSaved("first", "17"))
    settled = _when(live, lambda news: news["state"]["answer"].startswith("12.25"))
    assert settled["state"]["run"] == "/attempts/17"
    assert [a["text"] for a in settled["figure"]["layout"]["annotations"]] == [
        "to\u00a0run",
        "release",
        "stop",
    ]
    assert len(settled["figure"]["layout"]["shapes"]) == 3
    assert asked == ["17"]


def test_a_reading_is_asked_for_again_while_the_store_does_not_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("unspool.app.live_state.RETRY_S", 0.01)
    answers = iter((StoreWaitError("away"), StoreWaitError("away"), None))

    def read(_run_id: str) -> Reading:
        if failed := next(answers):
            raise failed
        return sample_run.sample_reading(distance_m=12.25)

    live = make_live_state(read=read)
    live(LINK_UP)
    live(edges("first", 0, 100))
    live(PhaseChanged(Phase.ENDED, 0.0))
    live(RunSaved("first", "17"))
    _when(live, lambda news: news["state"]["answer"].startswith("12.25"))


def test_a_reading_that_comes_after_the_next_winding_is_not_shown() -> None:
    wound = Event()

    def read(_run_id: str) -> Reading:
        wound.wait(timeout=60)
        return sample_run.sample_reading()

    live = make_live_state(read=read)
    live(LINK_UP)
    live(edges("first", 0, 100))
    live(RunSaved("first", "17"))
    live(PhaseChanged(Phase.WINDING, 1.0))
    wound.set()
    for thread in enumerate_threads():
        if thread.name == "reading":
            thread.join(timeout=60)
    news = _ask(live)
    assert news["figure"]["layout"].get("shapes", []) == []
    assert news["state"]["run"] == ""


def test_a_link_lost_in_a_run_keeps_the_run_and_its_expectation() -> None:
    live = make_live_state()
    live(LINK_UP)
    live(PhaseChanged(Phase.RUNNING, 4.0))
    live(edges("first", 0, 100))
    live(LINK_DOWN)
    live(PhaseChanged(Phase.NO_LINK, 0.0))
    news = _ask(live)
    assert news["state"]["banner"]["headline"].startswith("Link lost since ")
    assert news["state"]["link"] == "link down. The cable is out."
    assert len(news["x"]) == 100
    live(LINK_UP)
    # app_parts: a metre a wound turn, give or take one
    advice = _ask(live)["state"]["banner"]["advice"]
    assert advice == "Before the start, its stop was expected between 3.0\u00a0m and 5.0\u00a0m."


def test_who_listens_hears_of_news_until_hushed() -> None:
    live = make_live_state()
    heard: list[int] = []
    unsubscribe = live.subscribe(lambda: heard.append(1))
    live(LINK_UP)
    live(edges("first", 0, 5))
    unsubscribe()
    live(edges("first", 5, 9))
    assert heard == [1, 1]


def test_another_run_saved_is_none_of_this_pages_business() -> None:
    live = _running()
    live(RunSaved("another", "3"))
    assert _ask(live)["state"]["run"] == ""


def test_a_run_past_its_expectation_widens_the_axis_once() -> None:
    live = make_live_state()
    live(edges("first", 0, 630))
    before = _ask(live)
    part = edges("first", 630, 640)
    beyond = replace(part, number=part.number + 100)
    live(beyond)
    news = _ask(live, _after(before, have=630))
    assert news["x"][-1] > 12.6
    assert news["figure"]["layout"]["xaxis"]["range"][1] > news["x"][-1]


def test_losses_and_health_are_told() -> None:
    live = _running()
    live(BoardSeen("1.2", 4, 2_000_000))
    live(BoardHealth(3.9, 5, ResetCause.POWER_ON, battery_low=True))
    assert _ask(live)["state"]["alarm"] is True
    live(BoardHealth(0.0, 5, ResetCause.POWER_ON))
    assert _ask(live)["state"]["battery"] == "battery not known"
    assert _ask(live)["state"]["alarm"] is False
    live(BoardHealth(3.9, 5, ResetCause.POWER_ON, battery_low=True))
    live(EdgesMissed(2))
    live(EdgesMissed(1))
    state = _ask(live)["state"]
    assert state["link"] == "link up, firmware 1.2. Listening on virtual:."
    assert state["battery"] == "battery 3.90\u00a0V, low: charge it before the next attempt"
    assert state["lost"] == "3 edges missed in this attempt, 5 lost by the board since it started"
    assert state["alarm"] is True


def test_pages_that_ask_while_edges_come_all_get_the_same_run() -> None:
    """Each page asks in a thread of its own while the recorder's thread brings edges."""
    live = _running(upto=1)
    got: list[list[float]] = [[] for _ in range(3)]

    def look(mine: list[float]) -> None:
        cursor = Cursor()
        while len(mine) < 400:
            if (news := live.news(cursor)) is not None:
                assert news["from"] == len(mine)
                mine += news["x"]
                cursor = _after(news, have=len(mine))

    lookers = [Thread(target=look, args=(mine,)) for mine in got]
    for looker in lookers:
        looker.start()
    for i in range(1, 400, 7):
        live(edges("first", i, min(i + 7, 400)))
    for looker in lookers:
        looker.join(timeout=60)
    assert all(mine == _ask(live)["x"] for mine in got)


def test_each_page_gets_the_words_of_its_reader() -> None:
    """The cable is out in English and in German, in any order of pages."""
    live = _running()
    live(LINK_DOWN)
    figures = []
    for code, units, trouble in (
        ("en", ReadingUnits.METRIC, "Link lost since"),
        ("de", ReadingUnits.METRIC, "Verbindung weg seit"),
        ("de", ReadingUnits.FEET, "Verbindung weg seit"),
        ("en", ReadingUnits.METRIC, "Link lost since"),
    ):
        with in_language(code), reading_in(units):
            news = _ask(live)
            assert news["state"]["banner"]["headline"].startswith(trouble)
            figures.append(news["figure"]["layout"]["xaxis"]["title"]["text"])
    assert figures == ["distance (m)", "Strecke (m)", "Strecke (ft)", "distance (m)"]


def test_what_the_board_complains_of_stands_until_the_next_winding() -> None:
    live = make_live_state()
    live(LINK_UP)
    live(BoardTrouble(warning(RecordCode.BATTERY_LOW, battery_v=3.3)))
    state = _ask(live)["state"]
    assert (state["trouble"], state["alarm"]) == ("", False)  # the battery's own line says it
    restarted = warning(RecordCode.BOARD_RESTARTED, cause="brown_out")
    live(BoardTrouble(restarted))
    state = _ask(live)["state"]
    assert state["trouble"] == sentence(restarted)
    assert state["alarm"]
    live(PhaseChanged(Phase.WINDING, 1.0))
    assert _ask(live)["state"]["trouble"] == ""
