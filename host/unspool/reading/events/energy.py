"""The energy ledger of a run, from what was measured.

Measured are the speeds at every event, the coast's deceleration and the distances; the car file
gives masses, radii, drop and the drive's efficiency. Each term is what these say by itself:

    left in weight   m g (h - string paid out when the drive ended)
    drive            (1 - eta) of what the weight gave beyond its own speed
    catches          kinetic energy before less after, at each tier change seen
    landing          kinetic energy of the falling weight when the drive ended
    rolling          the coast's force without its square part over the whole way
    air              the part of the coast's force that grows as v^2, over the whole way
    grade            M g times the rise from launch to rest

and `unexplained` is the rest, never shared out among them. A term that cannot be known is None, and
then so is the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.model.outcome import EnergyLedger, EventKind
from unspool.model.params import Params, TierPath
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.match_winding import WindingMatch
from unspool.reading.motion.types import Motion

Array = NDArray[np.float64]

# Speeds are smooth on a piece of the law: so few instants give their integrals to many digits.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True)
class _Spent:
    """Where the weight's energy went while it drove, in J."""

    lost_in_drive_j: float
    catches_j: float
    landing_j: float
    left_j: float


def ledger(match: WindingMatch, machine: Params, motion: Motion, air_known: bool) -> EnergyLedger:
    """The ledger of a run whose changepoints were matched with its winding."""
    flow = _flow(match, machine)
    law, (linear, square) = match.fit.law, _of_speed(match.fit, motion)
    steady = -law.acceleration[-1] * _way(motion)
    rolling: float | None = machine.coasting_kg * (steady + law.linear_per_s * linear)
    air = machine.coasting_kg * law.drag_per_m * square if air_known else None
    grade: float | None = _grade(machine, motion.stop_m)
    if flow is None:
        stored = machine.stored_j
        return EnergyLedger(stored, None, None, None, None, rolling, air, grade, None)
    if not motion.stop_seen:
        rolling = grade = air = None
    spent = flow.left_j + flow.lost_in_drive_j + flow.catches_j + flow.landing_j
    spent += (rolling or 0.0) + (air or 0.0) + (grade or 0.0)
    return EnergyLedger(
        stored=machine.stored_j,
        left_in_weight=flow.left_j,
        drive=flow.lost_in_drive_j,
        catches=flow.catches_j,
        landing=flow.landing_j,
        rolling=rolling,
        air=air,
        grade=grade,
        unexplained=machine.stored_j - spent if motion.stop_seen else None,
    )


def _way(motion: Motion) -> float:
    """Out and back, however often."""
    back = motion.distance_m[motion.way_out :]
    if not len(back):
        return motion.furthest_m
    return motion.furthest_m + float(
        np.abs(np.diff([motion.furthest_m, *back.tolist(), motion.stop_m])).sum()
    )


def unknown_ledger(machine: Params) -> EnergyLedger:
    """Of a run that shows nothing of its energy."""
    return EnergyLedger(machine.stored_j, None, None, None, None, None, None, None, None)


def paid_out(machine: Params, distance_m: float) -> float:
    """String in m that has left the drum at a distance, as wound."""
    for tier in machine.tiers:
        if distance_m <= tier.end_m:
            return tier.paid_at(max(distance_m, 0.0))
    last = machine.tiers[-1]
    return last.paid_at(last.end_m)


def _flow(match: WindingMatch, machine: Params) -> _Spent | None:
    end = match.end_changepoint
    fit = match.fit
    if end is None or not fit.law.placed:  # nobody knows how much string had left by then
        return None
    end_m, end_speed = fit.law.changepoint_m[end], fit.trace.changepoint_speed[end]
    landed = match.end_kind is EventKind.LANDING
    fallen = machine.drop_m if landed else min(paid_out(machine, end_m), machine.drop_m)
    stages = _stages(match, machine)
    kept = catches = 0.0  # kinetic energy that the weight itself took up, m/2 v^2 by difference
    sink = 0.0
    for (before, speed, after_speed), after in pairwise(stages):
        at_end, caught = before.lever_at(before.end_m) * speed, after[0].lever * after_speed
        kept += 0.5 * machine.weight_kg * (at_end**2 - sink**2)
        catches += 0.5 * machine.coasting_kg * (speed**2 - after_speed**2)
        catches += 0.5 * machine.hanging_kg * (at_end**2 - caught**2)
        sink = caught
    last_sink = stages[-1][0].lever_at(min(end_m, stages[-1][0].end_m)) * end_speed
    kept += 0.5 * machine.weight_kg * (last_sink**2 - sink**2)
    given = machine.weight_kg * STANDARD_GRAVITY * fallen
    return _Spent(
        lost_in_drive_j=(1.0 - machine.efficiency) * (given - kept),
        catches_j=catches,
        landing_j=0.5 * machine.hanging_kg * last_sink**2,
        left_j=machine.weight_kg * STANDARD_GRAVITY * (machine.drop_m - fallen),
    )


def _stages(match: WindingMatch, machine: Params) -> list[tuple[TierPath, float, float]]:
    """Each tier that drove, with the speeds just before and after it gave way."""
    trace = match.fit.trace
    stages = []
    tier = match.first_tier(machine)
    for change in match.changes:
        if change.changepoint is not None:
            i = change.changepoint
            stages.append((tier, trace.changepoint_speed[i], trace.speed_after[i]))
            tier = change.to_tier
    stages.append((tier, 0.0, 0.0))
    return stages


def _of_speed(fit: LawFit, motion: Motion) -> tuple[float, float]:
    """Integrals of v and v^2 over the way: by the law on the way out, by sums after it."""
    starts = fit.trace.table[:, 0]
    ends = np.minimum(np.append(starts[1:], np.inf), motion.furthest_s)
    half = 0.5 * np.maximum(ends - starts, 0.0)[:, None]
    speed = fit.trace.at((starts[:, None] + half * (1.0 + _NODES)).ravel())[1]
    speed = speed.reshape(len(starts), len(_NODES))
    back = slice(motion.way_out, None)
    after, way = motion.speed_m_s[back], np.abs(np.diff(motion.distance_m[back]))
    return (
        float((half * speed**2 @ _WEIGHTS[:, None]).sum() + (np.abs(_means(after)) * way).sum()),
        float((half * speed**3 @ _WEIGHTS[:, None]).sum() + (_means(after**2) * way).sum()),
    )


def _means(value: Array) -> Array:
    return 0.5 * (value[1:] + value[:-1])


def _grade(machine: Params, rest_m: float) -> float:
    start, end = np.interp([0.0, rest_m], machine.level_m, machine.height_m)
    return float(machine.total_kg * STANDARD_GRAVITY * (end - start))
