"""A plan as the JSON object that other programs read; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict

from unspool.model.report import FORMAT, Json, known
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
        "turns": [
            {"tier": tier.name, "turns": tier.turns, "string_m": tier.string_m}
            for tier in plan.car.drum
            if tier.turns > 0.0
        ],
        "left_out": list(plan.left_out),
        "parts": list(plan.parts),
        "learnt": list(plan.learnt),
        "distance_m": known(p.distance_m),
        "distance_low_m": known(p.distance_low_m),
        "distance_high_m": known(p.distance_high_m),
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
        "slips": [{**asdict(slip), "distance_m": known(slip.distance_m)} for slip in plan.slips],
        "ranges": [asdict(one) for one in plan.ranges],
        "changes": [asdict(change) for change in plan.changes],
        "lesson": _lesson(plan),
        "warnings": list(plan.cautions),
    }


def _gain_s(plan: Plan) -> float | None:
    if plan.mark_s is None or plan.own_mark_s is None:
        return None
    return plan.own_mark_s - plan.mark_s


def _lesson(plan: Plan) -> Json | None:
    if plan.lesson is None:
        return None
    turns = zip(plan.car.drum, plan.lesson.turns, strict=True)
    return {
        "turns": [{"tier": tier.name, "turns": n} for tier, n in turns if n > 0.0],
        "distance_m": plan.lesson.distance_m,
        "term": plan.lesson.term,
    }
