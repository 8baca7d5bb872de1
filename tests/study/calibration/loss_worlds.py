"""Worlds in which a car is not as its file says, to see how honest calibrated losses are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from study.calibration.hidden_runs import hidden
from unspool.car import FLAT, Car
from unspool.car.handbook import CONSTANT_DRAG_MEAN_N, LINEAR_DRAG_MEAN_N_S_PER_M
from unspool.car.measured import INERTIA_SHARE, TURNS
from unspool.car.measured import measured as measured_sds
from unspool.model import predict
from unspool.reading.events import analyse
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.calibration.car_model import CATCH_MEAN, CATCH_SD
from unspool.study.calibration.types import TERMS
from unspool.virtual import truth
from unspool.virtual.truth import USUAL, Imperfections

Rng = np.random.Generator
Turns = tuple[float, ...]
SCATTER = 0.005  # of rolling and drive from run to run, as a share


@dataclass(frozen=True)
class World:
    """How the true car differs from a random one, and its file from the car.

    miscount: turns, the largest on each tier, more or less than said. heavier: of the third run.
    """

    car: Callable[[Car, Rng], Car] = lambda car, _: car
    file: Callable[[Car, Rng], Car] = lambda car, _: car
    imperfections: Callable[[Rng], Imperfections] = lambda _: USUAL
    miscount: float = 0.0
    heavier: float = 1.0


def losses(**ranges: tuple[float, float]) -> Callable[[Car, Rng], Car]:
    """The car with losses drawn from these ranges."""

    def drawn(car: Car, rng: Rng) -> Car:
        values = {name: float(rng.uniform(*ends)) for name, ends in ranges.items()}
        return replace(car, losses=replace(car.losses, **values))

    return drawn


def mismeasured(share: float) -> Callable[[Car, Rng], Car]:
    """The file with masses, drop and diameters that are off by this share, as one sd, and that says
    so.
    """

    def off(car: Car, rng: Rng) -> Car:
        def much(value: float) -> float:
            return value * float(1.0 + share * rng.standard_normal())

        radius = much(1.0)
        wheels = tuple(
            replace(
                w, radius_m=w.radius_m * radius, inertia_kg_m2=w.inertia_kg_m2 * radius**2,
                radius_sd_m=share * w.radius_m,
            )
            for w in car.wheels
        )  # fmt: skip
        drum = []
        for tier in car.drum:
            r = much(tier.radius_m)
            drum.append(replace(tier, radius_m=r, end_radius_m=r, radius_sd_m=share * r))
        body, weight, drop = (much(x) for x in (car.body_mass_kg, car.weight_mass_kg, car.drop_m))
        return replace(
            car, body_mass_kg=body, weight_mass_kg=weight, drop_m=drop, wheels=wheels,
            drum=tuple(drum), body_mass_sd_kg=share * body, weight_mass_sd_kg=share * weight,
            drop_sd_m=share * drop,
        )  # fmt: skip

    return off


def as_usual(car: Car, rng: Rng) -> Car:
    """The file of a builder who measured with the usual tools, as car/measured.py has them.

    One size of wheels is measured once.
    """
    known = measured_sds(car)

    def near(value: float, sd: float) -> float:
        return value + sd * float(rng.standard_normal())

    radius = near(1.0, known.driven_share)
    shape = near(1.0, INERTIA_SHARE)
    wheels = tuple(
        replace(w, radius_m=w.radius_m * radius, inertia_kg_m2=shape * w.inertia_kg_m2)
        for w in car.wheels
    )
    radii = [near(t.radius_m, sd) for t, sd in zip(car.drum, known.tier_radius_m, strict=True)]
    drum = [replace(t, radius_m=r, end_radius_m=r) for t, r in zip(car.drum, radii, strict=True)]
    drop = near(car.drop_m, known.drop_m)
    return replace(
        car, body_mass_kg=near(car.body_mass_kg, known.body_kg), drum=tuple(drum), wheels=wheels,
        weight_mass_kg=near(car.weight_mass_kg, known.weight_kg), drop_m=drop,
    )  # fmt: skip


EXACT = World()
WORLDS = {
    "exact": EXACT,
    "measured": World(
        file=as_usual,
        imperfections=lambda rng: replace(USUAL, catch=float(rng.normal(CATCH_MEAN, CATCH_SD))),
        miscount=TURNS * sqrt(3.0),
    ),
    "measured_1_percent": World(file=mismeasured(0.01)),
    "miscounted": World(miscount=0.3),
    "loose_catch": World(
        imperfections=lambda rng: replace(USUAL, catch=float(rng.uniform(0.7, 1.0)))
    ),
    "weak_drive": World(losses(drive_efficiency=(0.65, 0.80))),
    "linear_drag": World(losses(linear_drag_n_s_per_m=(0.01, 0.06))),
    "constant_drag": World(losses(constant_drag_n=(0.01, 0.05))),
    "heavier": World(heavier=1.5),
}


@dataclass(frozen=True)
class Case:
    """A car, what three runs of it showed, its file wound for the fourth, and that run's rest."""

    car: Car
    told: Calibration
    wound: Car
    rest_m: float

    def true(self) -> dict[str, float]:
        """The losses as the usual sensor's fast clock shows them."""
        slow, given = 1.0 / (1.0 + USUAL.clock_error), self.car.losses
        values = (
            given.rolling_coefficient * slow**2, given.constant_drag_n * slow**2,
            given.linear_drag_n_s_per_m * slow, self.car.drag_area_m2,
            given.drive_efficiency * slow**2,
        )  # fmt: skip
        return dict(zip(TERMS, values, strict=True))

    def holds(self, name: str) -> bool:
        """Whether the interval of a term holds the truth."""
        term = self.told.term(name)
        return term.low <= self.true()[name] <= term.high

    def falsely_known(self, name: str) -> bool:
        """Whether a term is said to be known, and the truth is far outside of its interval."""
        term = self.told.term(name)
        off = abs(self.true()[name] - 0.5 * (term.low + term.high))
        return term.known and off > term.high - term.low


def another_day(car: Car, rng: Rng, scatter: float = SCATTER) -> Car:
    """The car with rolling and efficiency that differ from the usual by this share."""
    before = car.losses
    rolling, drive = np.exp(scatter * rng.standard_normal(2)).tolist()
    coefficient = before.rolling_coefficient * rolling
    changed = replace(
        before,
        rolling_coefficient=coefficient,
        break_away_coefficient=max(before.break_away_coefficient, coefficient),
        drive_efficiency=min(before.drive_efficiency * drive, 0.999),
    )
    return replace(car, losses=changed)


def windings(car: Car, rng: Rng) -> list[Turns]:
    """Three that start, and let go of the string or land the weight."""
    found: list[Turns] = []
    own = np.array([tier.turns for tier in car.drum])
    for _ in range(300):
        turns = own * rng.uniform(0.6, 1.05) * rng.uniform(0.75, 1.1, len(own))
        if predict(car.wound(tuple(turns.tolist()))).release_m is not None:
            found.append(tuple(turns.tolist()))
        if len(found) == 3:
            return found
    return []


def any_car(rng: Rng, world: World = EXACT) -> tuple[Car, list[Turns]]:
    """A car of this world with three windings for it."""
    while True:
        car = world.car(_with_any_drag(truth.random_car(rng), rng), rng)
        if wound := windings(car, rng):
            return car, wound


def _with_any_drag(car: Car, rng: Rng) -> Car:
    """With constant and linear drag as the handbook's laws have them.

    A 90 % interval that reaches down to 0 holds 90 % of such cars, and all of those with less.
    """
    constant, linear = rng.exponential((CONSTANT_DRAG_MEAN_N, LINEAR_DRAG_MEAN_N_S_PER_M)).tolist()
    dragged = replace(car.losses, constant_drag_n=constant, linear_drag_n_s_per_m=linear)
    return replace(car, losses=dragged)


def case(name: str, seed: int) -> Case:
    """One car of the world of this name."""
    world, rng = WORLDS[name], np.random.default_rng([7, sorted(WORLDS).index(name), seed])
    car, (first, second, unseen) = any_car(rng, world)
    file = world.file(hidden(car), rng)
    heavy = world.heavier * car.body_mass_kg
    runs = [
        _measured(car, file, turns, world, rng, f"run {i}", heavy if i == 2 else None)
        for i, turns in enumerate((first, second, first))
    ]
    day = another_day(car, rng)
    rest_m = truth.run(day.wound(unseen), imperfections=world.imperfections(rng)).rest_m
    return Case(car, calibrate(runs), file.wound(unseen), rest_m)


def _measured(
    car: Car, file: Car, turns: Turns, world: World, rng: Rng, name: str, body_kg: float | None
) -> CalibrationRun:
    true_turns = tuple(n + float(rng.uniform(-1.0, 1.0)) * world.miscount for n in turns)
    day = another_day(car, rng).wound(true_turns)
    if body_kg is not None:
        file = replace(file, body_mass_kg=file.body_mass_kg * body_kg / car.body_mass_kg)
        day = replace(day, body_mass_kg=body_kg)
    seed = int(rng.integers(1 << 30))
    train = truth.run(day, imperfections=world.imperfections(rng), seed=seed).train
    said = file.wound(turns)
    return CalibrationRun(analyse(train, said), said, FLAT, turns, name)
