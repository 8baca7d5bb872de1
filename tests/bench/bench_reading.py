"""How well and how fast runs are read, against true runs and against the Cramer-Rao bound.

The runs have 1 to 4 tiers, radius ratios of 1.15 to 2.5, and 10 to 40 edges a turn. The slots are
2 % of the pitch off, and the jitter is 50 us. 0.3 % of the edges are missed, and handling adds up
to 10 edges. The clock is up to 0.5 % off. It was corrected by an estimate good to 20 parts in a
million. UNSPOOL_BENCH_RUNS sets how many.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import ruptures

from bench.bound import changepoint_bound, true_pieces
from bench.figures import Figure
from bench.worlds import with_other_wheels
from unspool.car import Car, Track
from unspool.model.outcome import EventKind
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events import Reading, analyse
from unspool.reading.motion import follow
from unspool.virtual.truth import USUAL, TrueRun, random_car, run

RUNS = int(os.environ.get("UNSPOOL_BENCH_RUNS", "200"))
CLOCK_ESTIMATE_SD = 20e-6
CHANGEPOINTS = (EventKind.TIER_CHANGE, EventKind.LANDING, EventKind.RELEASE)


@dataclass(frozen=True)
class Case:
    """errors and stop_error_m: of the edges alone, in turns of the file's wheel as it is."""

    truth: TrueRun
    file: Car
    reading: Reading
    true_m: np.ndarray
    bound_m: np.ndarray

    @property
    def wheel(self) -> float:
        """The true wheel over the file's, which a calliper measured."""
        return self.truth.car.encoder_wheel.radius_m / self.file.encoder_wheel.radius_m

    @property
    def changepoints(self) -> list:
        return [event for event in self.reading.events if event.kind in CHANGEPOINTS]

    @property
    def matched(self) -> bool:
        return len(self.changepoints) == len(self.true_m)

    @property
    def found_m(self) -> np.ndarray:
        return np.array([event.distance_m for event in self.changepoints])

    @property
    def errors(self) -> np.ndarray:
        return self.wheel * self.found_m - self.true_m

    @property
    def stop_error_m(self) -> float:
        return self.wheel * self.reading.distance_m - self.truth.rest_m

    @property
    def in_sds(self) -> np.ndarray:
        """The wheel's error is in them."""
        return (self.found_m - self.true_m) / self.sds

    @property
    def sds(self) -> np.ndarray:
        return np.array([event.distance_sd_m for event in self.changepoints])


def true_run(seed: int, track: Track | None = None) -> TrueRun:
    rng = np.random.default_rng([2024, seed])
    car = random_car(rng)
    imperfections = replace(
        USUAL,
        tick_s=0.0,
        handled=int(rng.integers(0, 11)),
        clock_error=float(rng.uniform(-0.005, 0.005)),
    )
    return (
        run(car, track, imperfections, seed)
        if track
        else run(car, imperfections=imperfections, seed=seed)
    )


def corrected(truth: TrueRun) -> PulseTrain:
    """The train on a clock corrected as the recorder corrects it."""
    off = np.random.default_rng([truth.seed, 9]).normal(0.0, CLOCK_ESTIMATE_SD)
    rate = (1.0 + truth.imperfections.clock_error) * (1.0 + off)
    return replace(truth.train, time_s=truth.train.time_s / rate)


def cases() -> Iterator[Case]:
    for seed in range(RUNS):
        truth = true_run(seed)
        file = with_other_wheels(truth.car, np.random.default_rng([2025, seed]))
        reading = analyse(corrected(truth), file)
        yield Case(truth, file, reading, true_pieces(truth).changepoint_m, changepoint_bound(truth))


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def figures() -> Iterable[Figure]:
    done = list(cases())
    yield from accuracy(done)
    yield from honesty(done)
    yield from returned()
    yield from against_ruptures(done[:20])
    yield from speed(done)


def accuracy(done: list[Case]) -> Iterable[Figure]:
    good = [case for case in done if case.matched]
    ends = np.array([case.errors[-1] / case.bound_m[-1] for case in good])
    changes = np.concatenate([case.errors[:-1] / case.bound_m[:-1] for case in good])
    for name, ratio, bound in (
        ("release", ends, [case.bound_m[-1] for case in good]),
        ("tier_change", changes, np.concatenate([case.bound_m[:-1] for case in good])),
    ):
        typical = float(np.median(bound)) * 1e3
        yield Figure(f"reading_{name}_rms", rms(ratio) * typical, "mm", "cramer_rao_bound", typical)
    pitch = np.concatenate([np.full(len(c.errors), c.truth.car.metres_per_edge) for c in good])
    errors = np.concatenate([case.errors for case in good])
    tellable = 1.96 * np.concatenate([case.bound_m for case in good]) < pitch
    inside = np.mean(np.abs(errors[tellable]) < pitch[tellable])
    yield Figure("reading_changepoints_within_a_slot", 100.0 * float(inside), "%")
    stops = [abs(c.stop_error_m) / c.truth.car.metres_per_edge for c in done]
    yield Figure(
        "reading_stop_within_half_a_slot", 100.0 * float(np.mean(np.less(stops, 0.5))), "%"
    )


def honesty(done: list[Case]) -> Iterable[Figure]:
    invented = [len(case.changepoints) > len(case.true_m) for case in done]
    unseen = [len(case.changepoints) < len(case.true_m) for case in done]
    yield Figure("reading_runs_with_an_invented_event", 100.0 * float(np.mean(invented)), "%")
    yield Figure("reading_runs_with_a_change_not_seen", 100.0 * float(np.mean(unseen)), "%")
    good = [case for case in done if case.matched]
    z = np.abs(np.concatenate([case.in_sds for case in good]))
    yield Figure("reading_95_interval_holds", 100.0 * float(np.mean(z < 1.96)), "%")


def returned() -> Iterable[Figure]:
    """Tracks whose far end rises so that most cars come back."""
    right = []
    for seed in range(RUNS // 5):
        rng = np.random.default_rng([7, seed])
        way = true_run(seed).rest_m
        bend, slope = float(rng.uniform(0.3, 0.7)) * way, float(rng.uniform(0.01, 0.05))
        track = Track("ramp", (0.0, bend, bend + 60.0), (0.0, 0.0, 60.0 * slope), 1.2046)
        truth = true_run(seed, track)
        reading = analyse(corrected(truth), truth.car, track)
        half = 0.5 * truth.car.metres_per_edge
        right.append(
            abs(reading.distance_m - truth.rest_m) < half
            and abs(reading.furthest_m - truth.furthest_m) < half
        )
    yield Figure("reading_furthest_and_net_within_half_a_slot", 100.0 * float(np.mean(right)), "%")


def against_ruptures(done: list[Case]) -> Iterable[Figure]:
    """A library's search for the changepoints of v^2 over the distance, given their number."""
    ours, theirs, ours_s, theirs_s = [], [], 0.0, 0.0
    for case in (case for case in done if case.matched):
        begun = time.process_time()
        analyse(corrected(case.truth), case.truth.car)
        ours_s += time.process_time() - begun
        begun = time.process_time()
        found = _searched(case)
        theirs_s += time.process_time() - begun
        ours += list(case.errors)
        theirs += list(found - case.true_m)
    yield Figure(
        "reading_changepoints_rms",
        1e3 * rms(np.array(ours)),
        "mm",
        "ruptures",
        1e3 * rms(np.array(theirs)),
    )
    yield Figure(
        "reading_time_a_run", 1e3 * ours_s / len(done), "ms", "ruptures", 1e3 * theirs_s / len(done)
    )


def _searched(case: Case) -> np.ndarray:
    motion = case.reading.motion
    step = max(1, len(motion.time_s) // 300)
    square, place = (motion.speed_m_s**2)[::step], motion.distance_m[::step]
    search = ruptures.Dynp(model="clinear", min_size=3, jump=1).fit(square.reshape(-1, 1))
    breaks = search.predict(n_bkps=len(case.true_m))[:-1]
    return np.array([place[i] for i in breaks])


def speed(done: list[Case]) -> Iterable[Figure]:
    """A run of 5,000 edges: the longest of the runs, on wheels that roll on and on."""
    longest = max((case.truth for case in done), key=lambda truth: len(truth.train))
    car = replace(longest.car, losses=replace(longest.car.losses, rolling_coefficient=0.001))
    truth = run(car, imperfections=USUAL, seed=longest.seed)
    part = slice(0, 5000)
    train = PulseTrain(
        truth.train.time_s[part], truth.train.direction[part], truth.train.number[part]
    )
    plain = _least_ms(lambda: _moving_average(train))
    followed = _least_ms(lambda: follow(train, car))
    yield Figure(f"follow_{len(train)}_edges", followed, "ms", "moving_average_loop", plain)
    read = _least_ms(lambda: analyse(train, car))
    yield Figure(f"reading_{len(train)}_edges", read, "ms", "following_them", followed)


def _least_ms(work: Callable[[], object]) -> float:
    """Processor time of the fastest of seven turns."""
    took = []
    for _ in range(7):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return 1e3 * min(took)


def _moving_average(train: PulseTrain) -> list[float]:
    """Speed as a sketch would have it: a turn's edges over the time they took, edge by edge."""
    time_s = train.time_s.tolist()
    return [20.0 / (time_s[i] - time_s[i - 20]) for i in range(20, len(time_s))]
