"""One true run: what happened, and what the sensor said of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import OdeSolution

from unspool.car import FLAT, Car, Track
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth.disc import TrueDisc, cut_disc
from unspool.virtual.truth.imperfections import PERFECT, Imperfections
from unspool.virtual.truth.run_state import RunState, TrueEvent
from unspool.virtual.truth.sensor import (
    SensorEdges,
    TrueClock,
    chatter,
    edges_of_leg,
    handled,
    no_edges,
    sensed,
)
from unspool.virtual.truth.solve_run import solve_run
from unspool.virtual.truth.true_car import (
    AIR,
    DRIVE,
    GRAVITY,
    OTHER,
    ROLLED,
    ROLLING,
    TrueCar,
    V,
    X,
)

Floats = NDArray[np.float64]
CURVE_STEP_S = 0.01  # a straight line between two such points is wrong by less than 0.1 mm


@dataclass(frozen=True)
class TrueEnergy:
    """In J. `other`: what a sliding tyre and a swaying tower took; below 0 the tower gave."""

    stored: float
    left_in_weight: float
    drive: float
    catches: float
    landing: float
    rolling: float
    air: float
    grade: float
    other: float

    @property
    def imbalance(self) -> float:
        """What the terms do not add up to: the solver's error."""
        spent = self.left_in_weight + self.drive + self.catches + self.landing
        return self.stored - spent - self.rolling - self.air - self.grade - self.other


@dataclass(frozen=True)
class TrueRun:
    """A run with its answers.

    `events`: kinds as in a reading, and "held" if the string held at the peg. Their `time_s` is on
    the train's clock. `time_s`, `distance_m`, `speed_m_s`: (m,) the run itself, in true seconds
    from the launch. `edge_time_s`, `edge_distance_m`: (n,) when each edge of the train really came
    by, from the launch, and what its wheel had rolled. `edge_slot`: (n,) which slot of the disc it
    is.
    """

    car: Car
    track: Track
    imperfections: Imperfections
    seed: int
    started: bool
    train: PulseTrain
    events: tuple[TrueEvent, ...]
    energy: TrueEnergy
    time_s: Floats
    distance_m: Floats
    speed_m_s: Floats
    clock: TrueClock
    disc: TrueDisc
    edge_time_s: Floats
    edge_distance_m: Floats
    edge_slot: NDArray[np.int64]

    @property
    def launch_s(self) -> float:
        """The launch on the train's clock."""
        return self.clock.launch_s

    @property
    def pitch(self) -> Floats:
        """(pulses_per_turn,) mean 1: distance from disc edge j to j + 1."""
        return self.disc.shares

    @property
    def rest_m(self) -> float:
        """Where the car came to rest."""
        return float(self.distance_m[-1])

    @property
    def furthest_m(self) -> float:
        return float(self.distance_m.max())

    def event(self, kind: str) -> TrueEvent:
        """The first event of a kind. Raises KeyError if there was none."""
        for one in self.events:
            if one.kind == kind:
                return one
        raise KeyError(kind)


def run(
    car: Car, track: Track = FLAT, imperfections: Imperfections = PERFECT, seed: int = 0
) -> TrueRun:
    """The run that this car makes on this track; the same seed gives the same run and disc."""
    end = solve_run(TrueCar(car, track, imperfections))
    disc = cut_disc(car, imperfections, np.random.default_rng([seed, 1]))
    rng = np.random.default_rng([seed, 2])
    clock = TrueClock(float(rng.uniform(8.0, 9.0)), imperfections.clock_error)
    passed = _passed(end, disc, rng)
    train, which = sensed(passed, clock, imperfections, rng)
    edges = passed.edge[which]
    time, distance, speed = _curve(end.legs)
    events = tuple(replace(one, time_s=float(clock.reading(one.time_s))) for one in end.events)
    return TrueRun(
        car, track, imperfections, seed, end.started, train, events, _energy(end),
        time, distance, speed, clock, disc,
        passed.time_s[which], disc.place(edges), np.mod(edges, car.encoder.pulses_per_turn),
    )  # fmt: skip


def _passed(end: RunState, disc: TrueDisc, rng: np.random.Generator) -> SensorEdges:
    """All edges that the sensor saw, before, during and after the run."""
    car, imperfections = end.car.car, end.car.imperfections
    row = ROLLED if car.encoder.axle == car.driven_wheel.name else X
    edges = no_edges()
    for leg in end.legs:
        edges += edges_of_leg(leg, row, disc)
    before = handled(imperfections.handled, rng)
    return before + edges + chatter(imperfections.chatter, edges, end.time_s, rng)


def _curve(legs: list[OdeSolution]) -> tuple[Floats, Floats, Floats]:
    """Samples of all legs, their ends among them; one point at 0 if the car did not start."""
    times, places, speeds = [np.zeros(1)], [np.zeros(1)], [np.zeros(1)]
    for leg in legs:
        steps = max(int(np.ceil((leg.t_max - leg.t_min) / CURVE_STEP_S)), 1)
        t = np.linspace(leg.t_min, leg.t_max, steps + 1)[1:]
        y = leg(t)
        times.append(t)
        places.append(y[X])
        speeds.append(y[V])
    return np.concatenate(times), np.concatenate(places), np.concatenate(speeds)


def _energy(end: RunState) -> TrueEnergy:
    car, y, floor = end.car.car, end.state, end.car.track
    start, last = np.interp([0.0, y[X]], floor.distance_m, floor.height_m)
    return TrueEnergy(
        stored=car.weight_mass_kg * GRAVITY * car.drop_m,
        left_in_weight=end.left_j,
        drive=float(y[DRIVE]),
        catches=end.catches_j,
        landing=end.landing_j,
        rolling=float(y[ROLLING]),
        air=float(y[AIR]),
        grade=float(car.total_mass_kg * GRAVITY * (last - start)),
        other=float(y[OTHER]),
    )
