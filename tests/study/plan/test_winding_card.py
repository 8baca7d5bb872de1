"""The winding card's figures, against the car's own measures and another prediction."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from plain import plain_car
from unspool.car import FLAT, Losses
from unspool.errors import InputError
from unspool.model import PredictionCode, predict
from unspool.study.plan.winding_card import MOST_SPLITS, winding_card
from unspool.virtual import truth
from unspool.virtual.demo import scenario

TRACK = scenario.corridor()


def test_what_the_string_leaves_last_is_wound_first() -> None:
    made = winding_card(scenario.dunlin(), TRACK)
    assert [(w.tier, w.turns) for w in made.windings] == [
        ("run", 4.5),
        ("middle", 3.0),
        ("start", 1.5),
    ]


def test_marks_add_up_the_string_of_each_tier() -> None:
    """A string of 0.5 mm on drums of 13, 19 and 26 mm lies on 13.5, 19.5 and 26.5 mm."""
    made = winding_card(scenario.dunlin(), TRACK)
    run, middle, start = (pi * d * n for d, n in ((0.0135, 4.5), (0.0195, 3.0), (0.0265, 1.5)))
    marks = [one.mark_m for one in made.windings]
    assert marks == pytest.approx([run, run + middle, run + middle + start])
    assert made.string_m == pytest.approx(marks[-1])
    assert made.turns == 9.0
    assert made.spare_m == pytest.approx(0.5 - marks[-1])


def test_splits_are_those_of_the_true_run() -> None:
    made = winding_card(scenario.sandpiper(), TRACK)
    true = truth.run(scenario.sandpiper(), TRACK)
    assert [split.distance_m for split in made.splits] == [5.0, 10.0]
    for split in made.splits:
        passed = next(t for t, x in zip(true.time_s, true.distance_m, strict=True)
                      if x >= split.distance_m)  # fmt: skip
        assert split.time_s == pytest.approx(passed, abs=0.02)


def test_other_turns_make_another_card() -> None:
    car = scenario.dunlin()
    made = winding_card(car, TRACK, (0.0, 2.0, 8.0))
    assert [one.tier for one in made.windings] == ["run", "middle"]
    expected = predict(
        replace(car.wound((0.0, 2.0, 8.0)), drum=car.wound((0.0, 2.0, 8.0)).drum[1:]), TRACK
    )
    assert made.prediction.distance_m == expected.distance_m


def test_a_long_run_has_no_more_splits_than_fit() -> None:
    made = winding_card(plain_car(losses=Losses(0.0005, 0.0, 0.0, 1.0, 0.0005, 0.6)))
    assert made.prediction.distance_m > 200.0
    apart = {
        b.distance_m - a.distance_m for a, b in zip(made.splits, made.splits[1:], strict=False)
    }
    assert apart == {50.0}
    assert 2 < len(made.splits) <= MOST_SPLITS


def test_a_car_that_nothing_stops_has_splits() -> None:
    made = winding_card(plain_car(losses=Losses(0.0, 0.0, 0.0, 1.0, 0.0, 0.6)))
    assert [split.distance_m for split in made.splits][:2] == [5.0, 10.0]
    assert len(made.splits) == MOST_SPLITS


def test_a_car_that_does_not_start_has_none() -> None:
    made = winding_card(plain_car(weight_mass_kg=0.01))
    assert made.splits == ()
    assert PredictionCode.DOES_NOT_START in {one.code for one in made.prediction.findings}


@pytest.mark.parametrize(
    ("turns", "told"),
    [
        ((1.0, 2.0), "2 turns for the tiers start, middle, run; give one each"),
        ((0.0, 0.0, 0.0), "no winding"),
        ((1.0, -2.0, 1.0), "no winding"),
        ((1.0, float("nan"), 1.0), "no winding"),
        ((1.0, float("inf"), 1.0), "no winding"),
    ],
)
def test_turns_that_are_no_winding(turns: tuple[float, ...], told: str) -> None:
    with pytest.raises(InputError, match=told):
        winding_card(scenario.dunlin(), FLAT, turns)
