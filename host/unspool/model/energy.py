"""Where the energy of a simulated run went, each term from its own integral."""

from __future__ import annotations

import numpy as np

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.outcome import EnergyLedger
from unspool.model.params import Params
from unspool.model.simulate import Simulation
from unspool.model.timeline import PlacedSegment


def ledger(run: Simulation, air_known: bool) -> EnergyLedger:
    """The run's ledger in J; air is None if the car's drag area is not known.

    unexplained is what the terms do not add up to: rounding, and nothing else.
    """
    p = run.params
    stored = p.stored_j
    left = p.weight_kg * STANDARD_GRAVITY * (p.drop_m - run.fallen_m)
    rolling = sum(_rolling(p, one) for one in run.segments)
    air = sum(one.segment.air_j for one in run.segments)
    catches = sum(catch.lost_j for catch in run.catches)
    grade = _grade(p, run.x)
    kinetic = 0.5 * p.coasting_kg * run.v**2
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


def _rolling(params: Params, placed: PlacedSegment) -> float:
    segment = placed.segment
    return params.rolling_n(placed.slope) * segment.length_m + segment.linear_j


def _grade(params: Params, x: float) -> float:
    start, end = np.interp([0.0, x], params.level_m, params.height_m)
    return float(params.total_kg * STANDARD_GRAVITY * (end - start))
