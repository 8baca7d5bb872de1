"""Swaying towers and swinging weights, heard in true runs; nothing heard where nothing swings."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from unspool.reading.events import Reading, analyse
from unspool.virtual.truth import USUAL, TrueRun, random_car, run


def true_run(seed: int, **spoilt: float) -> TrueRun:
    car = random_car(np.random.default_rng([11, seed]))
    return run(car, spoil=replace(USUAL, **({"clock_error": 0.0} | spoilt)), seed=seed)


def said(reading: Reading) -> str | None:
    return next((f.text for f in reading.findings if f.code == "swaying"), None)


@pytest.mark.parametrize(("hz", "sway"), [(1.5, 0.15), (3.1, 0.15), (5.2, 0.3), (7.4, 0.6)])
@pytest.mark.parametrize("seed", range(3))
def test_a_tower_is_heard_at_its_frequency(seed: int, hz: float, sway: float) -> None:
    truth = true_run(seed, sway_m_s2=sway, sway_hz=hz)
    text = said(analyse(truth.train, truth.car))
    assert text is not None
    assert float(re.search(r"swung ([\d.]+) times", text)[1]) == pytest.approx(hz, abs=0.15)
    free = truth.car.total_mass_kg / (truth.car.total_mass_kg + truth.car.rotating_mass_kg)
    told = float(re.search(r"by ([\d.]+) m/s2", text)[1])
    assert told == pytest.approx(sway * free, rel=0.35)


@pytest.mark.parametrize("seed", [2, 4, 5, 7])
def test_a_swinging_weight_falls_in_pitch(seed: int) -> None:
    truth = true_run(seed, swing_rad=0.08, swing_string_m=0.1)
    text = said(analyse(truth.train, truth.car))
    assert text is not None
    assert "hanging weight" in text
    first, last = re.search(r"at first ([\d.]+) times a second and ([\d.]+)", text).groups()
    # sqrt(9.81 / 0.1) / (2 pi) = 1.6 times a second at the launch
    assert 1.2 < float(first) < 2.3
    assert float(last) < float(first)


@pytest.mark.parametrize("seed", range(8))
def test_nothing_is_heard_where_nothing_swings(seed: int) -> None:
    truth = true_run(seed, out_of_round=0.01, duty=0.1)
    assert said(analyse(truth.train, truth.car)) is None
