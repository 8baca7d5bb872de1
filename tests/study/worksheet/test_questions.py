"""The questions' answers, against the model's run and against sums by hand."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from unspool.car import Car, load_car
from unspool.model import predict
from unspool.model.outcome import EventKind
from unspool.study.worksheet import (
    Ask,
    Change,
    Choice,
    Number,
    Option,
    Question,
    after_run,
    worksheet,
)
from unspool.virtual.demo.scenario import DUNLIN, SANDPIPER


@pytest.fixture
def car() -> Car:
    return load_car(SANDPIPER)


def asked(car: Car) -> dict[Ask, Question]:
    return {question.ask: question for question in worksheet(car).questions}


def answer(car: Car, ask: Ask) -> float | str:
    return asked(car)[ask].answer


def test_energy_is_mass_times_gravity_times_drop(car: Car) -> None:
    assert answer(car, Ask.ENERGY_STORED) == pytest.approx(0.640 * 9.80665 * 0.560)


def test_force_is_the_weight_at_the_lever(car: Car) -> None:
    lever = car.drum[0].radius_m / car.driven_wheel.radius_m
    assert answer(car, Ask.FORCE_AT_TYRE) == pytest.approx(0.92 * 0.640 * 9.80665 * lever)


@pytest.mark.parametrize(
    ("ask", "kind"),
    [(Ask.TIER_CHANGE, EventKind.TIER_CHANGE), (Ask.RELEASE, EventKind.RELEASE)],
)
def test_places_are_the_models(car: Car, ask: Ask, kind: EventKind) -> None:
    places = [event.distance_m for event in predict(car).events if event.kind is kind]
    assert answer(car, ask) == pytest.approx(places[0])


def test_nothing_goes_farther_than_energy_over_resistance(car: Car) -> None:
    longest = answer(car, Ask.LONGEST_WAY)
    assert isinstance(longest, float)
    assert 0.8 * longest < predict(car).distance_m < longest


@pytest.mark.parametrize(
    ("turns", "option"),
    [
        (4.0, Option.SHORTER_THAN_DROP),
        (5.55, Option.AS_LONG_AS_DROP),
        (6.5, Option.LONGER_THAN_DROP),
    ],
)
def test_the_string_is_compared_with_the_drop(car: Car, turns: float, option: Option) -> None:
    assert answer(car.wound((3.5, turns)), Ask.STRING_AND_DROP) is option


def test_what_if_follows_the_model(car: Car) -> None:
    assert answer(car, Ask.LESS_DRAG) is Change.FARTHER
    assert answer(car, Ask.SMALLER_WHEELS) is Change.SAME
    light = asked(car)[Ask.HEAVIER_WEIGHT]
    assert isinstance(light, Choice)
    assert light.answer is Change.FARTHER


def test_a_drum_of_one_tier_has_no_questions_on_tiers(car: Car) -> None:
    one = asked(car.wound((0.0, 5.0)))
    assert not {Ask.STRONGEST_TIER, Ask.TIER_CHANGE} & one.keys()
    around = 2.0 * pi * car.driven_wheel.radius_m
    assert one[Ask.RELEASE].answer == pytest.approx(5.0 * around)


def test_a_car_that_nothing_slows_has_no_questions_on_its_way(car: Car) -> None:
    free = replace(car.losses, rolling_coefficient=0.0, constant_drag_n=0.0)
    still = asked(replace(car, losses=free, frontal_area_m2=None))
    assert not {Ask.RESISTANCE, Ask.LONGEST_WAY, Ask.LESS_DRAG} & still.keys()


def test_each_answer_is_one_of_its_options_or_a_number_above_0() -> None:
    for path in (SANDPIPER, DUNLIN):
        for question in worksheet(load_car(path)).questions:
            if isinstance(question, Number):
                assert question.answer > 0.0
            else:
                assert question.answer in question.options


def test_after_the_run_pupils_work_with_their_own_figures(car: Car) -> None:
    sheet = worksheet(car)
    missed, slowed = after_run(sheet, 14.0, 12.5)
    assert missed.answer == pytest.approx(12.0)
    assert slowed.answer == pytest.approx(0.92 * 0.640 * 9.80665 * car.wound_string_m / 12.5)
    assert [one.ask for one in after_run(sheet, None, 12.5)] == [Ask.SLOWED_BY]
