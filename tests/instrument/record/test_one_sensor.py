"""One sensor on a coarse wheel: runs are found, and winding is taken for none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from board_words import hello, words
from unspool.car import Car, Encoder
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.instrument.record.one_sensor import as_seen_by
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunEvent, RunOver
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.motion import LiveMotion
from unspool.virtual.demo.scenario import sandpiper
from unspool.virtual.truth import USUAL, TrueRun, random_car, run, session_train


def coarse(car: Car, edges: int) -> Car:
    return replace(car, encoder=Encoder(edges, car.encoder.axle, sensors=1))


def detector(car: Car) -> RunDetector:
    turns = sum(tier.turns for tier in car.drum)
    return RunDetector(RunContext(None, None, car.encoder.pulses_per_turn, turns, 1))


def joined(parts: list[np.ndarray]) -> PulseTrain:
    """Edges at these times; the open sensor B makes their directions alternate."""
    time_s = np.concatenate(parts)
    flat = np.where(np.arange(len(time_s)) % 2, -1, 1).astype(np.int8)
    return PulseTrain(time_s, flat, np.arange(len(time_s), dtype=np.int64))


def hear(listener: RunDetector, train: PulseTrain) -> list[RunEvent]:
    told = [hello(), *words(train, float(train.time_s[-1]) + 12.0)]
    return [seen for item in told for seen in listener.feed(as_seen_by(1, item))]


def wound_by_hand(car: Car, rng: np.random.Generator) -> np.ndarray:
    """Half turns, each about as long as the others, with a pause to change hands."""
    turns = sum(tier.turns for tier in car.drum)
    n = round(turns * car.encoder.pulses_per_turn)
    strokes = rng.uniform(0.3, 0.5, int(2 * turns) + 2)
    turned = np.concatenate([[0.0], np.cumsum(strokes)])
    return np.interp(np.arange(1, n + 1) / n * 2.0 * turns, np.arange(len(turned)), turned)


def overs(seen: list[RunEvent]) -> list[RunOver]:
    return [item for item in seen if isinstance(item, RunOver)]


@pytest.fixture(scope="module")
def runs() -> list[TrueRun]:
    cars = [random_car(np.random.default_rng([seed, 17])) for seed in range(5)]
    return [
        run(coarse(car, edges), imperfections=replace(USUAL, missed=0.0), seed=3)
        for car, edges in zip([sandpiper(), *cars], (2, 2, 4, 4, 8, 8), strict=True)
    ]


def test_winding_is_no_run_and_the_run_after_it_is_one(runs: list[TrueRun]) -> None:
    for k, truth in enumerate(runs):
        wound = 20.0 + wound_by_hand(truth.car, np.random.default_rng(k))
        ran = wound[-1] + 8.0 + truth.train.time_s - truth.train.time_s[0]
        (over,) = overs(hear(detector(truth.car), joined([np.array([1.0]), wound, ran])))
        assert over.winding is None
        assert set(over.edges.direction.tolist()) == {1}
        assert over.edges.number.tolist()[-len(ran) :] == list(
            range(1 + len(wound), 1 + len(wound) + len(ran))
        )


def test_the_builder_may_say_that_the_car_is_let_go_next(runs: list[TrueRun]) -> None:
    """At once, not after the third turn."""
    truth = runs[0]
    train = joined([np.array([1.0]), 20.0 + truth.train.time_s])
    told = [hello(), *words(train, 60.0)]
    first = next(k for k, item in enumerate(told) if getattr(item, "number", [0])[-1] >= 1)
    listener = detector(truth.car)
    for item in told[:first]:
        listener.feed(as_seen_by(1, item))
    listener.mark_tier()
    seen = [event for item in told[first:] for event in listener.feed(as_seen_by(1, item))]
    assert Phase.RUNNING in [one.phase for one in seen if isinstance(one, PhaseChanged)]
    assert len(overs(seen)) == 1


def test_with_two_sensors_directions_are_left_as_they_are() -> None:
    train = joined([np.array([1.0, 2.0, 3.0])])
    item = next(iter(words(train, 4.0)))
    assert as_seen_by(2, item) is item


@pytest.mark.parametrize("which", range(6))
def test_the_live_view_follows_a_coarse_wheel(runs: list[TrueRun], which: int) -> None:
    truth = runs[which]
    forward = np.ones(len(truth.train), dtype=np.int8)
    points = LiveMotion(truth.car).push(truth.train.time_s, forward, truth.train.number)
    pitch = truth.car.metres_per_edge
    assert points.distance_m[-1] == pytest.approx(truth.edge_distance_m[-1], abs=1.5 * pitch)
    late = points.time_s - truth.launch_s > 2.0
    true_speed = np.interp(points.time_s - truth.launch_s, truth.time_s, truth.speed_m_s)
    off = points.speed_m_s[late] - true_speed[late]
    assert np.abs(off).max() < 0.25 * true_speed.max()


@pytest.mark.parametrize("edges", [2, 4, 8])
def test_two_sensors_count_a_coarse_wheels_winding_to_an_edge(edges: int) -> None:
    car = replace(sandpiper(), encoder=Encoder(edges, "rear"))
    truth = run(car, imperfections=replace(USUAL, missed=0.0), seed=4)
    train = session_train(truth, 10.0)
    listener = RunDetector(RunContext(None, None, edges, 8.8))
    told = [hello(), *words(train, float(train.time_s[-1]) + 12.0)]
    (over,) = overs([seen for item in told for seen in listener.feed(item)])
    assert over.winding is not None
    assert over.winding.turns == pytest.approx(8.8, abs=1.5 / edges)
