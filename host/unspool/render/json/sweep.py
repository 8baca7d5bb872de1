"""A sweep as JSON; what is not known is null."""

from __future__ import annotations

import numpy as np

from unspool.model.number import Floats
from unspool.render.json.common import FORMAT, Json, known
from unspool.study.sweep import Axis, NearlyBest, Sweep


def sweep_json(sweep: Sweep) -> Json:
    """The object that `unspool sweep --json` prints, in SI units.

    Lists are nested in the order of `ranges`: the last range is the innermost.
    """
    return {
        "unspool": FORMAT,
        "car": sweep.car.name,
        "track": sweep.track.name,
        "goal": str(sweep.goal.aim),
        "mark_m": sweep.goal.mark_m,
        "counts": str(sweep.goal.counts),
        "ranges": [_axis(axis) for axis in sweep.axes],
        "possible": sweep.possible.tolist(),
        "distance_m": _numbers(sweep.distance_m),
        "score": _numbers(sweep.score),
        "limit": sweep.limit_names.tolist(),
        "best": _best(sweep),
        "nearly_best": [_nearly(one) for one in sweep.nearly],
        "share_nearly_best": sweep.share_nearly_best,
    }


def _axis(axis: Axis) -> Json:
    return {
        "size": str(axis.what),
        "tier": axis.tier,
        "unit": axis.unit,
        "values": list(axis.values),
        "wheel_kg": axis.wheel_kg,
    }


def _best(sweep: Sweep) -> Json:
    best, p = sweep.best, sweep.best.prediction
    wound = [tier for tier in best.car.drum if tier.turns > 0.0]
    return {
        "values": list(best.values),
        "turns": [{"tier": tier.name, "turns": tier.turns} for tier in wound],
        "limit": best.limit,
        "distance_m": known(p.distance_m),
        "distance_low_m": known(p.distance_low_m),
        "distance_high_m": known(p.distance_high_m),
        "furthest_m": known(p.furthest_m),
        "duration_s": known(p.duration_s),
        "mark_s": known(best.mark_s),
        "start_margin": known(p.start_margin),
        "traction_margin": known(p.traction_margin),
        "tipping_margin": known(p.tipping_margin),
        "string_margin": known(p.string_margin),
    }


def _nearly(one: NearlyBest) -> Json:
    return {
        "size": str(one.axis.what),
        "tier": one.axis.tier,
        "best": one.best,
        "low": one.low,
        "high": one.high,
        "at_edge": one.at_edge,
        "next_stopped_by": one.next_stopped_by,
    }


def _numbers(values: Floats) -> list[object]:
    """Nested lists with null for what is not a number."""
    out = values.astype(object)
    out[~np.isfinite(values)] = None
    return list(out.tolist())
