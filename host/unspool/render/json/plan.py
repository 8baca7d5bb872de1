"""A plan as JSON; what is not known is null."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.words.findings import sentence
from unspool.render.words.plan import change_name, part_name
from unspool.study.plan.flatness import Miscount
from unspool.study.plan.parts import Part, PartKind
from unspool.study.plan.sensitivity import CarChange
from unspool.study.plan.types import Plan


def plan_json(plan: Plan) -> Json:
    """The object that `unspool plan --json` prints, in SI units."""
    p = plan.prediction
    return {
        "unspool": FORMAT,
        "car": plan.car.name,
        "track": plan.track.name,
        "goal": str(plan.goal.aim),
        "mark_m": plan.goal.mark_m,
        "counts": str(plan.goal.counts),
        "turn_step": plan.turn_step,
        "turns": [
            {"tier": tier.name, "turns": tier.turns, "string_m": tier.string_m}
            for tier in plan.car.drum
            if tier.turns > 0.0
        ],
        "best": _best(plan),
        "left_out": list(plan.left_out),
        "parts": [part_name(part) for part in plan.parts],
        "fitted": [_part(part) for part in plan.parts],
        "learnt": list(plan.learnt_from),
        "distance_m": known(p.distance_m),
        "distance_low_m": known(p.distance_low_m),
        "distance_high_m": known(p.distance_high_m),
        "furthest_m": known(p.furthest_m),
        "duration_s": known(p.duration_s),
        "peak_speed_m_s": known(p.peak_speed_m_s),
        "mark_s": known(plan.mark_s),
        "start_margin": known(p.start_margin),
        "string_margin": known(p.string_margin),
        "traction_margin": known(p.traction_margin),
        "tipping_margin": known(p.tipping_margin),
        "gain_m": known(plan.gain_m),
        "gain_s": _gain_s(plan),
        "limits": asdict(plan.limits),
        "binding": list(plan.binding),
        "miscounts": [_miscount(one) for one in plan.miscounts],
        "ranges": [asdict(one) for one in plan.ranges],
        "changes": [_change(one) for one in plan.changes],
        "lesson": _most_informative(plan),
        "warnings": [sentence(finding) for finding in plan.findings],
        "findings": [finding_json(finding) for finding in plan.findings],
    }


def _part(part: Part) -> Json:
    """A weight's size is its mass; other sizes are diameters."""
    of_weight = part.kind is PartKind.WEIGHT
    return {
        "kind": str(part.kind),
        "tier": part.tier,
        "diameter_m": None if of_weight else part.size,
        "mass_kg": part.mass_kg,
        "weighed": part.weighed,
    }


def _best(plan: Plan) -> Json:
    one = plan.best
    return {
        "turns": _turns(plan, one.turns),
        "distance_m": known(one.distance_m),
        "gain": one.gain,
    }


def _turns(plan: Plan, turns: Sequence[float]) -> list[Json]:
    """The tiers that are wound, in the order of the drum."""
    wound = zip(plan.car.drum, turns, strict=True)
    return [{"tier": tier.name, "turns": n} for tier, n in wound if n > 0.0]


def _miscount(one: Miscount) -> Json:
    return {**asdict(one), "distance_m": known(one.distance_m)}


def _change(one: CarChange) -> Json:
    return {
        "name": change_name(one),
        "property": str(one.what),
        "tier": one.tier,
        "less": one.less,
        "more": one.more,
    }


def _gain_s(plan: Plan) -> float | None:
    if plan.mark_s is None or plan.own_mark_s is None:
        return None
    return plan.own_mark_s - plan.mark_s


def _most_informative(plan: Plan) -> Json | None:
    one = plan.most_informative
    if one is None:
        return None
    return {
        "turns": _turns(plan, one.turns),
        "distance_m": one.distance_m,
        "term": one.term,
    }
