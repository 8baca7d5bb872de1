"""A roll-out as JSON; what is not known is null."""

from __future__ import annotations

from unspool.intervals import LEVEL
from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.words.findings import sentence
from unspool.study.rollout import IntervalEstimate, RolledPush, RollOut


def rollout_json(out: RollOut) -> Json:
    """The object that `unspool rollout --json` prints, in SI units."""
    verdict = finding_json(out.verdict)
    return {
        "unspool": FORMAT,
        "car": out.car,
        "wheel": out.wheel,
        "level": LEVEL,
        "tape_sd_m": out.tape_sd_m,
        "circumference_m": _estimate(out.circumference_m),
        "nominal_m": out.nominal_m,
        "verdict": verdict["code"],
        "text": verdict["text"],
        "values": verdict["values"],
        "edges_per_turn": {
            "car_file": out.edges_per_turn,
            "fits": _estimate(out.fitting_edges),
            "by_pattern": out.pattern_edges,
        },
        "proposed": _proposed(out),
        "pushes": [_push(push, out.edges_per_turn) for push in out.pushes],
        "findings": [finding_json(finding) for finding in out.findings],
    }


def _estimate(of: IntervalEstimate) -> Json:
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
        "left_out": sentence(rolled.left_out) if rolled.left_out else None,
    }
