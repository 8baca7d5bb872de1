"""Readings against true runs."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from unspool.errors import InputError
from unspool.model.outcome import EventKind
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.render.json.reading import reading_json
from unspool.virtual.truth import USUAL, Imperfections, TrueRun, random_car, run


def true_run(seed: int, tiers: int | None = None, **spoilt: float) -> TrueRun:
    imperfections: Imperfections = replace(USUAL, **({"clock_error": 0.0} | spoilt))
    return run(
        random_car(np.random.default_rng([8, seed]), tiers), imperfections=imperfections, seed=seed
    )


def seen(truth: TrueRun) -> list[tuple[str, float]]:
    """What the motion shows: the weight that landed leaves nothing to see at the release."""
    kinds = [(one.kind, one.distance_m) for one in truth.events]
    if "landing" in [kind for kind, _ in kinds]:
        kinds = [one for one in kinds if one[0] != "release"]
    return kinds


@pytest.mark.parametrize("seed", range(6))
def test_events_are_found_within_their_uncertainty(seed: int) -> None:
    truth = true_run(seed, handled=6)
    reading = analyse(truth.train, truth.car)
    assert [str(e.kind) for e in reading.events] == [kind for kind, _ in seen(truth)]
    for event, (_, distance) in zip(reading.events, seen(truth), strict=True):
        sd = event.distance_sd_m
        assert sd is not None
        assert abs(event.distance_m - distance) <= 4.0 * sd + 1e-4
    assert reading.distance_m == pytest.approx(truth.rest_m, abs=1e-3)
    assert reading.events[0].time_s == pytest.approx(truth.launch_s, abs=5e-3)
    assert reading.peak_speed_m_s == pytest.approx(truth.speed_m_s.max(), rel=1e-3)


@pytest.mark.parametrize("seed", range(3))
def test_the_ledger_is_the_true_one(seed: int) -> None:
    truth = true_run(seed)
    energy, true = analyse(truth.train, truth.car).energy, truth.energy
    for name in ("stored", "left_in_weight", "drive", "catches", "landing", "rolling", "air"):
        assert getattr(energy, name) == pytest.approx(getattr(true, name), abs=0.01 * true.stored)
    assert energy.unexplained == pytest.approx(0.0, abs=0.01 * true.stored)


def test_json_is_what_the_contract_says() -> None:
    truth = true_run(1, tiers=2)
    told = reading_json(analyse(truth.train, truth.car))
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["unspool"] == 1
    assert set(told["edges"]) == {"count", "used", "ignored", "missing", "lost_before"}
    assert [e["kind"] for e in told["events"]] == ["launch", "tier_change", "landing", "stop"]
    assert told["events"][1]["from"] == truth.car.drum[0].name
    assert [s["kind"] for s in told["stretches"]] == ["tier", "tier", "coast"]
    assert told["stretches"][2]["tier"] is None
    assert sum(v for k, v in told["energy_j"].items() if k != "stored") == pytest.approx(
        told["energy_j"]["stored"]
    )


def test_a_winding_is_confronted() -> None:
    truth = true_run(2, tiers=2)
    turns = tuple(tier.turns for tier in truth.car.drum)
    as_drawn = analyse(truth.train, truth.car)
    more = analyse(truth.train, truth.car, winding=(turns[0] + 0.2, turns[1]))
    assert more.winding == (turns[0] + 0.2, turns[1])

    def change(reading: Reading) -> tuple[float, float | None]:
        event = next(e for e in reading.events if e.kind is EventKind.TIER_CHANGE)
        return event.distance_m, event.expected_distance_m

    assert change(more)[0] == pytest.approx(change(as_drawn)[0])
    assert change(more)[1] == pytest.approx(
        (change(as_drawn)[1] or 0.0) + 0.2 * 2.0 * np.pi * truth.car.driven_wheel.radius_m
    )


@pytest.mark.parametrize("winding", [(1.0,), (0.0, 0.0), (-1.0, 2.0), (float("nan"), 1.0)])
def test_a_winding_that_is_none_is_refused(winding: tuple[float, ...]) -> None:
    truth = true_run(2, tiers=2)
    with pytest.raises(InputError):
        analyse(truth.train, truth.car, winding=winding)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 9, 14, 40])
def test_short_runs_are_read_or_said_not_to_have_started(n: int) -> None:
    truth = true_run(3)
    part = slice(0, n)
    train = PulseTrain(
        truth.train.time_s[part], truth.train.direction[part], truth.train.number[part]
    )
    reading = analyse(train, truth.car)
    told = json.loads(json.dumps(reading_json(reading), allow_nan=False))
    codes = {finding["code"] for finding in told["findings"]}
    assert told["events"] or "did_not_start" in codes


def test_a_reading_prints_as_a_few_lines() -> None:
    truth = true_run(2, tiers=2)
    reading = analyse(truth.train, truth.car)
    lines = repr(reading).splitlines()
    assert len(lines) == 3
    assert reading.car in lines[0]
    assert f"{reading.distance_m:.2f} m" in lines[0]
    assert all(f"{event.kind} {event.distance_m:.2f} m" in lines[1] for event in reading.events)
    assert all(finding.code in lines[2] for finding in reading.findings)
    assert "array" not in str(reading)
