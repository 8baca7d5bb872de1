"""A plan's findings in builder's words, for pages and the command line alike."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.car import Tier
from unspool.render.words.units import quantity
from unspool.study.plan import Plan
from unspool.study.plan.limits import WORDS

TERM_WORDS = {
    "rolling_coefficient": "rolling resistance",
    "drag_area_m2": "air drag",
    "drive_efficiency": "loss in the drive",
}


def winding_words(drum: Sequence[Tier], turns: Sequence[float]) -> str:
    """`7 on start, 0.25 on run`, in the order of the drum."""
    wound = zip(drum, turns, strict=True)
    return ", ".join(f"{n:g} on {tier.name}" for tier, n in wound if n > 0.0)


def binding_words(plan: Plan) -> str:
    """What holds the goal back, in a sentence."""
    if not plan.binding:
        return "No limit holds it back."
    told = []
    for name in plan.binding:
        if name == "drop":
            told.append(f"the drop of {quantity(1e3 * plan.car.drop_m, 'mm', 0)}, all of it used")
        else:
            told.append(f"the {WORDS[name][0]} of at least {getattr(plan.limits, name):g}")
    return f"Held back by {' and by '.join(told)}."
