"""Where the energy of a modelled run went, each term from its own integral."""

from __future__ import annotations

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.outcome import EnergyLedger
from unspool.model.params import Machine
from unspool.model.simulate import Ride
from unspool.model.timeline import Passage


def ledger(run: Ride, air_known: bool) -> EnergyLedger:
    """The run's ledger; air is None where the car's drag area is not known.

    unexplained is what the terms do not add up to: rounding, and nothing else.
    """
    m = run.machine
    stored = m.stored_j
    left = m.weight_kg * STANDARD_GRAVITY * (m.drop_m - run.fallen)
    rolling = sum(_rolling(m, one) for one in run.passages)
    air = sum(one.leg.air_j for one in run.passages)
    catches = sum(catch.lost_j for catch in run.catches)
    grade = _grade(m, run.x)
    kinetic = 0.5 * m.coasting_kg * run.v**2
    spent = left + run.drive_j + catches + run.landing_j + rolling + air + grade + kinetic
    return EnergyLedger(
        stored=stored,
        left_in_weight=left,
        drive=run.drive_j,
        catches=catches,
        landing=run.landing_j,
        rolling=rolling,
        air=air if air_known else None,
        grade=grade,
        unexplained=stored - spent,
        kinetic=kinetic,
    )


def _rolling(machine: Machine, passage: Passage) -> float:
    return machine.rolling_n(passage.slope) * passage.leg.way_m + passage.leg.linear_j


def _grade(machine: Machine, x: float) -> float:
    start, end = np.interp([0.0, x], machine.level_m, machine.height_m)
    return float(machine.total_kg * STANDARD_GRAVITY * (end - start))
