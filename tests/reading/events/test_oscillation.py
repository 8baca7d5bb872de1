"""Swaying towers and swinging weights, heard in true runs; nothing heard where nothing swings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from unspool.finding import Finding
from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, TrueRun, random_car, run


def true_run(seed: int, **spoilt: float) -> TrueRun:
    car = random_car(np.random.default_rng([11, seed]))
    return run(car, imperfections=replace(USUAL, **({"clock_error": 0.0} | spoilt)), seed=seed)


def swaying(reading: Reading) -> Finding | None:
    return next((f for f in reading.findings if f.code == "swaying"), None)


@pytest.mark.parametrize(("hz", "sway"), [(1.5, 0.15), (3.1, 0.15), (5.2, 0.3), (7.4, 0.6)])
@pytest.mark.parametrize("seed", range(3))
def test_a_tower_is_heard_at_its_frequency(seed: int, hz: float, sway: float) -> None:
    truth = true_run(seed, sway_m_s2=sway, sway_hz=hz)
    found = swaying(analyse(truth.train, truth.car))
    assert found is not None
    assert found.values["of_weight"] is False
    assert found.values["first_hz"] == pytest.approx(hz, abs=0.15)
    free = truth.car.total_mass_kg / (truth.car.total_mass_kg + truth.car.rotating_mass_kg)
    assert found.values["amplitude_m_s2"] == pytest.approx(sway * free, rel=0.35)


@pytest.mark.parametrize("seed", [2, 4, 5, 7])
def test_a_swinging_weight_falls_in_pitch(seed: int) -> None:
    truth = true_run(seed, swing_rad=0.08, swing_string_m=0.1)
    found = swaying(analyse(truth.train, truth.car))
    assert found is not None
    assert found.values["of_weight"] is True
    # sqrt(9.81 / 0.1) / (2 pi) = 1.6 times a second at the launch
    assert 1.2 < found.values["first_hz"] < 2.3
    assert found.values["last_hz"] < found.values["first_hz"]


@pytest.mark.parametrize("seed", range(8))
def test_nothing_is_heard_where_nothing_swings(seed: int) -> None:
    truth = true_run(seed, out_of_round=0.01, duty=0.1)
    assert swaying(analyse(truth.train, truth.car)) is None
