"""A roll-out as the JSON object that other programs read."""

from __future__ import annotations

from typing import Any

from unspool.intervals import LEVEL
from unspool.model.report import FORMAT, known
from unspool.study.rollout.types import Estimate, RolledPush, RollOut

Json = dict[str, Any]


def rollout_json(out: RollOut) -> Json:
    """The object that `unspool rollout --json` prints, in SI units."""
    return {
        "unspool": FORMAT,
        "car": out.car,
        "wheel": out.wheel,
        "level": LEVEL,
        "tape_sd_m": out.tape_sd_m,
        "circumference_m": _estimate(out.circumference_m),
        "nominal_m": out.nominal_m,
        "verdict": out.verdict.value,
        "text": out.text,
        "edges_per_turn": {
            "car_file": out.edges_per_turn,
            "fits": _estimate(out.fitting_edges),
            "by_pattern": out.pattern_edges,
        },
        "proposed": _proposed(out),
        "pushes": [_push(push, out.edges_per_turn) for push in out.pushes],
        "findings": [
            {"code": one.code, "severity": one.severity, "text": one.text} for one in out.remarks
        ],
    }


def _estimate(of: Estimate) -> Json:
    return {"value": known(of.value), "low": known(of.low), "high": known(of.high)}


def _proposed(out: RollOut) -> Json | None:
    if out.proposed_m is None:
        return None
    return {
        "edges_per_turn": out.proposed_edges,
        "circumference_m": _estimate(out.proposed_m),
    }


def _push(rolled: RolledPush, edges_per_turn: int) -> Json:
    travel = rolled.travel
    return {
        "run": rolled.push.name,
        "length_m": rolled.push.length_m,
        "turns": travel.slots / edges_per_turn,
        "edges": {"count": len(rolled.push.train), "used": travel.edges, "missing": travel.lost},
        "circumference_m": _estimate(rolled.circumference_m),
        "left_out": rolled.left_out,
    }
