"""What Track says, state by state."""

from __future__ import annotations

from typing import Any

import pytest

import sample_run
from unspool.app.live_status import LiveStatus
from unspool.app.live_words import page_texts
from unspool.instrument.record.notices import Phase

M = "\u00a0m"


def _say(phase: Phase, **more: Any) -> dict[str, Any]:
    status = {"link_up": True, "prediction": sample_run.sample_prediction(), "phase": phase}
    return page_texts(LiveStatus(sample_run.sample_car(), **(status | more)))


@pytest.mark.parametrize(
    ("distance_m", "text"),
    [
        (12.0, f"Stopped at 12.00{M}, 0.55{M} short of the expected 12.55{M}."),
        (12.55, f"Stopped at 12.55{M}, as expected."),
        (13.0, f"Stopped at 13.00{M}, 0.45{M} past the expected 12.55{M}."),
    ],
)
def test_the_end_is_compared_with_the_expectation(distance_m: float, text: str) -> None:
    assert _say(Phase.ENDED, distance_m=distance_m)["answer"] == text


def test_a_run_that_was_cut_off_never_stopped() -> None:
    says = _say(Phase.ENDED, distance_m=7.85, whole=False, end=f"cut off at 7.85{M}, no stop seen")
    assert says["answer"] == f"Cut off at 7.85{M}, no stop seen."
    assert says["dials"][0] == {"label": "last seen at", "value": "7.85", "unit": "m"}


def test_a_run_with_lost_edges_has_no_distance_before_it_is_read() -> None:
    assert _say(Phase.ENDED, distance_m=7.85, missed=3)["answer"] == f"Last seen at 7.85{M}."


@pytest.mark.parametrize(
    ("distance_m", "tier"),
    [(0.0, "start"), (1.35, "start"), (1.4, "run"), (3.4, "run"), (3.5, "coast"), (12.0, "coast")],
)
def test_the_tier_under_way_follows_the_expectation(distance_m: float, tier: str) -> None:
    """The sample run changes tier at 1.36 m and lets go at 3.43 m."""
    dial = _say(Phase.RUNNING, distance_m=distance_m)["dials"][2]
    assert dial == {"label": "tier, as expected here", "value": tier, "unit": ""}


@pytest.mark.parametrize(
    ("metres", "shown"), [(7.744, "7.74"), (9.996, "10.0"), (15.27, "15.3"), (120.4, "120")]
)
def test_large_figures_keep_three_digits(metres: float, shown: str) -> None:
    dial = _say(Phase.RUNNING, distance_m=metres)["dials"][0]
    assert dial == {"label": "distance", "value": shown, "unit": "m"}


@pytest.mark.parametrize(
    ("missed", "text"),
    [
        (0, "no edge missed in this run"),
        (1, "1 edge missed in this run"),
        (2, "2 edges missed in this run"),
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
