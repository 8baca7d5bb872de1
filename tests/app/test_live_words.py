"""What Track says, state by state."""

from __future__ import annotations

from typing import Any

import pytest

import sample_run
from unspool.app.lane import lane_json
from unspool.app.live_status import LiveStatus
from unspool.app.live_words import page_texts
from unspool.instrument.record.notices import Phase
from unspool.model.forecast import StopForecast
from unspool.render.words.attempt_result import result_words

M = "\u00a0m"


def _status(phase: Phase, **more: Any) -> LiveStatus:
    status = {"link_up": True, "prediction": sample_run.sample_prediction(), "phase": phase}
    return LiveStatus(sample_run.sample_car(), **(status | more))


def _say(phase: Phase, **more: Any) -> dict[str, Any]:
    return page_texts(_status(phase, **more))


def test_the_end_is_compared_with_the_expectation_before_it_is_read() -> None:
    answer = _say(Phase.ENDED, distance_m=10.0, cause="rolling")["answer"]
    assert [part for part in ("10.00", "2.55", "12.55", "floor") if part not in answer] == []
    assert "12.50" in _say(Phase.ENDED, distance_m=12.5)["answer"]


def test_the_sentence_of_the_reading_takes_its_place() -> None:
    reading = sample_run.sample_reading()
    says = _say(Phase.ENDED, distance_m=7.85, missed=2, whole=False, reading=reading)
    assert says["answer"] == result_words(reading)
    assert says["dials"][0] == {"label": "last seen at", "value": "7.85", "unit": "m"}


def test_a_run_with_lost_edges_has_no_distance_before_it_is_read() -> None:
    assert _say(Phase.ENDED, distance_m=7.85, missed=3)["answer"] == f"Last seen at 7.85{M}."


@pytest.mark.parametrize(
    ("distance_m", "tier"),
    [(0.0, "start"), (1.35, "start"), (1.4, "run"), (3.4, "run"), (3.5, "coast"), (12.0, "coast")],
)
def test_the_tier_under_way_follows_the_expectation(distance_m: float, tier: str) -> None:
    """The sample run changes tier at 1.36 m and lets go at 3.43 m."""
    assert _say(Phase.RUNNING, distance_m=distance_m)["ahead"].startswith(
        f"Now, as expected: {tier}. Next: "
    )


def test_the_stop_is_said_finer_as_its_band_narrows() -> None:
    wide = _say(Phase.RUNNING, stop=StopForecast(11.25, 13.5))["stop"]
    narrow = _say(Phase.RUNNING, stop=StopForecast(12.31, 12.66))["stop"]
    assert wide == f"Stops between 11.2 and 13.5{M} (90 %)."
    assert narrow == f"Stops between 12.31 and 12.66{M} (90 %)."
    assert _say(Phase.ENDED, stop=StopForecast(12.31, 12.66))["stop"] == ""


@pytest.mark.parametrize(
    ("stop", "reached_m", "least_m"),
    [(StopForecast(11.0, 19.7), 0.0, 20.0), (None, 31.0, 32.0), (StopForecast(9, 9.1), 2.0, 12.6)],
)
def test_the_lane_reaches_past_the_band_and_the_car(
    stop: StopForecast | None, reached_m: float, least_m: float
) -> None:
    lane = _say(Phase.RUNNING, stop=stop, distance_m=reached_m)
    assert lane["dials"][0]["label"] == "distance"
    assert lane_json(_status(Phase.RUNNING, stop=stop, distance_m=reached_m))["reach"] >= least_m


def test_what_is_left_to_wind_is_the_first_figure() -> None:
    dials = _say(Phase.WINDING, wound_turns=6.25)["dials"]
    assert dials[0] == {"label": "left on start", "value": "2.75", "unit": "turns"}
    assert _say(Phase.WAITING)["dials"][0]["label"] == "left on run"


@pytest.mark.parametrize(
    ("metres", "shown"), [(7.744, "7.74"), (9.996, "10.0"), (15.27, "15.3"), (120.4, "120")]
)
def test_large_figures_keep_three_digits(metres: float, shown: str) -> None:
    dial = _say(Phase.RUNNING, distance_m=metres)["dials"][0]
    assert dial == {"label": "distance", "value": shown, "unit": "m"}


@pytest.mark.parametrize(
    ("missed", "text"),
    [
        (0, "no edge missed in this attempt"),
        (1, "1 edge missed in this attempt"),
        (2, "2 edges missed in this attempt"),
    ],
)
def test_lost_edges_are_counted(missed: int, text: str) -> None:
    says = _say(Phase.RUNNING, missed=missed)
    assert says["lost"] == text
    assert says["alarm"] is (missed > 0)


def test_what_is_not_known_is_not_made_up() -> None:
    says = _say(Phase.RUNNING, prediction=None)
    assert says["banner"]["advice"] == ""
    assert says["battery"] == "battery not known"
    assert _say(Phase.ENDED, prediction=None)["dials"][2]["value"] == "?"
