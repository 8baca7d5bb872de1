"""A calibration as JSON, its findings, and its lines for a car file."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import hidden, measured, turns, varied
from unspool.car import Car, parse_car
from unspool.finding import Finding
from unspool.model import predict
from unspool.render.json.calibration import calibration_json
from unspool.render.toml.losses import losses_toml
from unspool.study.calibration import (
    Calibration,
    CalibrationRun,
    calibrate,
    predict_with,
)
from unspool.study.calibration.advice import advise
from unspool.study.calibration.types import TERMS
from unspool.virtual.demo.scenario import SANDPIPER, sandpiper


def runs_of(car: Car, count: int = 3) -> list[CalibrationRun]:
    rng = np.random.default_rng(8)
    shares = (1.0, 0.85) * count
    cars = [turns(varied(car, 0.005, rng), share) for share in shares[:count]]
    return [measured(one, f"run {i}", i) for i, one in enumerate(cars)]


@pytest.fixture(scope="module")
def told() -> Calibration:
    return calibrate(runs_of(sandpiper()))


@pytest.fixture(scope="module")
def stated() -> Calibration:
    """With the car's own file, which states its constant drag."""
    return calibrate([replace(one, car=sandpiper()) for one in runs_of(sandpiper(), 1)])


def test_json_has_the_keys_that_programs_rely_on(told: Calibration) -> None:
    answer = json.loads(json.dumps(calibration_json(told), allow_nan=False))
    assert answer["unspool"] == 1
    assert tuple(answer["losses"]) == TERMS
    for term in answer["losses"].values():
        assert set(term) == {"value", "low", "high", "known"}
        assert term["low"] <= term["value"] <= term["high"]
        assert isinstance(term["known"], bool)
    assert set(answer["resistance_n"]) == {"value", "low", "high", "mass_kg", "known"}
    assert answer["resistance_n"]["mass_kg"] == pytest.approx(1.55)
    assert [run["run"] for run in answer["runs"]] == ["run 0", "run 1", "run 2"]
    for run in answer["runs"]:
        assert run["modelled_m"] == pytest.approx(run["measured_m"], rel=0.03)
        assert run["left_out"] is None
    assert answer["residual_sd_m"] > 0.0
    assert answer["correlation"]["rolling_coefficient"]["rolling_coefficient"] == 1.0


def test_what_is_not_known_is_null(told: Calibration) -> None:
    runs = (replace(told.runs[0], measured_m=None), *told.runs[1:])
    answer = calibration_json(replace(told, runs=runs, residual_sd_m=None))
    assert answer["runs"][0]["measured_m"] is None
    assert answer["residual_sd_m"] is None


def said(told: Calibration, runs: list[CalibrationRun], **known: bool) -> dict[str, Finding]:
    terms = [replace(term, known=known.get(term.name, True)) for term in told.terms]
    both = replace(told.speed_drag, known=known.get("drag_area_m2", True))
    found = advise(runs, terms, told.runs[: len(runs)], told.resistance, both, told.vouched)
    return {finding.code: finding for finding in found}


@pytest.mark.parametrize(
    ("term", "code"),
    [
        ("constant_drag_n", "one_mass"),
        ("drag_area_m2", "air_drag_open"),
        ("drive_efficiency", "efficiency_open"),
    ],
)
def test_advice_for_each_term_that_is_open(term: str, code: str, told: Calibration) -> None:
    runs = runs_of(sandpiper())
    assert code in said(told, runs, **{term: False})
    assert code not in said(told, runs)


def test_advice_after_two_masses_asks_for_repeats(told: Calibration) -> None:
    runs = runs_of(sandpiper())
    heavy = replace(runs[1].car, body_mass_kg=runs[1].car.body_mass_kg + 1.0)
    runs[1] = replace(runs[1], car=heavy)
    found = said(told, runs, constant_drag_n=False)
    assert "constant_drag_open" in found
    assert "one_mass" not in found


def test_advice_counts_the_runs_that_are_missing(told: Calibration) -> None:
    for count in (1, 2):
        assert said(told, runs_of(sandpiper(), count))["few_runs"].values == {"more": 3 - count}
    assert "few_runs" not in said(told, runs_of(sandpiper()))


def written(text: str) -> Car:
    """The scenario's car file with the lines where they say that they belong."""
    body, losses = text.split("# In place of [losses]:")
    keys = "\n".join(line for line in body.splitlines() if " = " in line)
    own = SANDPIPER.read_text().partition("[losses]")[0].splitlines()
    kept = [line for line in own if not line.startswith(("frontal_area", "drag_coeff"))]
    return parse_car("\n".join(kept).replace("[body]", f"[body]\n{keys}") + losses, "car.toml")


def test_lines_for_a_car_file_predict_the_same_run(told: Calibration) -> None:
    text = losses_toml(told)
    car = written(text)
    assert "constant_drag_n" in car.losses.assumed, "nobody vouches for it"
    expected = predict_with(told, hidden(sandpiper()))
    assert predict(car).distance_m == pytest.approx(expected.distance_m, rel=2e-3)
    assert predict(car).start_margin == pytest.approx(expected.start_margin, rel=2e-3)


def test_lines_learnt_from_are_not_taken_for_the_builders_word(told: Calibration) -> None:
    again = calibrate(
        [replace(one, car=written(losses_toml(told))) for one in runs_of(sandpiper())]
    )
    assert not again.term("rolling_coefficient").known
    assert again.vouched == ()


def test_lines_keep_a_constant_drag_that_the_file_stated(stated: Calibration) -> None:
    text = losses_toml(stated)
    losses = written(text).losses
    assert losses.constant_drag_n == pytest.approx(0.01, rel=0.1)
    assert losses.rolling_coefficient == pytest.approx(
        stated.term("rolling_coefficient").value, rel=1e-3
    )


def test_a_name_of_many_lines_stays_a_comment(told: Calibration) -> None:
    car = replace(told.car, name="A\nrolling_coefficient = 1")
    first = losses_toml(replace(told, car=car)).splitlines()[0]
    assert first == "# Losses of A rolling_coefficient = 1, from 3 runs by unspool."


def test_a_calibration_prints_as_a_few_lines(told: Calibration) -> None:
    lines = repr(told).splitlines()
    assert len(lines) == 2 + len(TERMS)
    assert "3 of 3 runs used" in lines[0]
    assert "constant_drag_n" in repr(told)
    assert "not known" in lines[2]
    assert "one_mass" in lines[-1]
    assert "array" not in repr(told)
