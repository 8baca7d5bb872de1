"""One true run: what happened, and what the sensor said of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import OdeSolution

from unspool.car import FLAT, Car, Track
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth.disc import Disc, cut_disc
from unspool.virtual.truth.imperfections import PERFECT, Spoil
from unspool.virtual.truth.leg_ends import Happening
from unspool.virtual.truth.physics import AIR, DRIVE, GRAVITY, ODD, ROLLED, ROLLING, Body, V, X
from unspool.virtual.truth.sensor import (
    Clock,
    Passings,
    chatter,
    handled,
    leg_passings,
    passings,
    sensed,
)
from unspool.virtual.truth.solve_run import Course

Floats = NDArray[np.float64]
CURVE_STEP_S = 0.01


@dataclass(frozen=True)
class TrueEnergy:
    """Joules; odd is what a sliding tyre ate and what a swaying tower took (or gave, below 0)."""

    stored: float
    left_in_weight: float
    drive: float
    catches: float
    landing: float
    rolling: float
    air: float
    grade: float
    odd: float

    @property
    def open(self) -> float:
        """What the ledger does not close by."""
        spent = self.left_in_weight + self.drive + self.catches + self.landing
        return self.stored - spent - self.rolling - self.air - self.grade - self.odd


@dataclass(frozen=True)
class TrueRun:
    """A run with its answers.

    events: kinds as in a reading (and "held" where the string held at the peg); their time_s is on
    the train's clock. time_s, distance_m, speed_m_s: (m,) the run itself, true seconds from the
    launch. edge_time_s, edge_distance_m: (n,) for each edge of the train, the true time from the
    launch and the rolled way at which its slot really came by. pitch: (pulses_per_turn,) mean 1,
    the way from disc edge j to j + 1; edge_slot: (n,) which j each edge of the train is.
    """

    car: Car
    track: Track
    spoil: Spoil
    seed: int
    started: bool
    train: PulseTrain
    events: tuple[Happening, ...]
    energy: TrueEnergy
    time_s: Floats
    distance_m: Floats
    speed_m_s: Floats
    clock: Clock
    disc: Disc
    edge_time_s: Floats
    edge_distance_m: Floats
    edge_slot: NDArray[np.int64]

    @property
    def launch_s(self) -> float:
        """The launch on the train's clock."""
        return self.clock.launch_s

    @property
    def pitch(self) -> Floats:
        return self.disc.shares

    @property
    def rest_m(self) -> float:
        """Where the car came to rest."""
        return float(self.distance_m[-1])

    @property
    def furthest_m(self) -> float:
        return float(self.distance_m.max())

    def event(self, kind: str) -> Happening:
        """The first event of a kind. Raises KeyError where there was none."""
        for one in self.events:
            if one.kind == kind:
                return one
        raise KeyError(kind)


def run(car: Car, track: Track = FLAT, spoil: Spoil = PERFECT, seed: int = 0) -> TrueRun:
    """The run that this car makes on this track; the same seed gives the same run and disc."""
    course = Course(Body(car, track, spoil))
    course.go()
    disc = cut_disc(car, spoil, np.random.default_rng([seed, 1]))
    rng = np.random.default_rng([seed, 2])
    clock = Clock(float(rng.uniform(8.0, 9.0)), spoil.clock_error)
    passed = _passed(course, disc, spoil, rng)
    train, which = sensed(passed, clock, spoil, rng)
    edges = passed.edge[which]
    time, distance, speed = _curve(course.legs)
    events = tuple(replace(one, time_s=float(clock.reading(one.time_s))) for one in course.happened)
    return TrueRun(
        car, track, spoil, seed, course.started, train, events, _energy(course),
        time, distance, speed, clock, disc,
        passed.time_s[which], disc.place(edges), np.mod(edges, car.encoder.pulses_per_turn),
    )  # fmt: skip


def _passed(course: Course, disc: Disc, spoil: Spoil, rng: np.random.Generator) -> Passings:
    car = course.body.car
    row = ROLLED if car.encoder.axle == car.driven_wheel.name else X
    ran = passings([], [], [])
    for leg in course.legs:
        ran += leg_passings(leg, row, disc)
    before = handled(spoil.handled, rng)
    return before + ran + chatter(spoil.chatter, ran, course.time_s, rng)


def _curve(legs: list[OdeSolution]) -> tuple[Floats, Floats, Floats]:
    """Samples of all legs, their ends among them; one point at 0 when the car did not start."""
    times, places, speeds = [np.zeros(1)], [np.zeros(1)], [np.zeros(1)]
    for leg in legs:
        steps = max(int(np.ceil((leg.t_max - leg.t_min) / CURVE_STEP_S)), 1)
        t = np.linspace(leg.t_min, leg.t_max, steps + 1)[1:]
        y = leg(t)
        times.append(t)
        places.append(y[X])
        speeds.append(y[V])
    return np.concatenate(times), np.concatenate(places), np.concatenate(speeds)


def _energy(course: Course) -> TrueEnergy:
    car, y = course.body.car, course.state
    levels = course.body.track
    start, end = np.interp([0.0, y[X]], levels.distance_m, levels.height_m)
    return TrueEnergy(
        stored=car.weight_mass_kg * GRAVITY * car.drop_m,
        left_in_weight=course.left_j,
        drive=float(y[DRIVE]),
        catches=course.catches_j,
        landing=course.landing_j,
        rolling=float(y[ROLLING]),
        air=float(y[AIR]),
        grade=float(car.total_mass_kg * GRAVITY * (end - start)),
        odd=float(y[ODD]),
    )
