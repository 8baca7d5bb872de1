"""Winding: how turns that were counted spread over the tiers of a drum."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.car.vehicle import Car
from unspool.language import _
from unspool.turns import LEAST_TURNS


def why_no_next_tier(car: Car, steps: int) -> str:
    """Why no further tier can follow after so many marks; empty if one can."""
    if steps < len(car.drum):
        return ""
    return _("this is the drum's last tier already, {tier}", tier=car.drum[0].name)


def counted_turns(car: Car, total: float, steps: Sequence[float] = ()) -> tuple[float, ...] | None:
    """`total` wheel turns as turns on each tier, in drum order; None if nothing was wound.

    The tier that lets go last is wound first. `steps` are the turns between the builder's marks, in
    the order of winding; each is a tier's, unless there are more steps than tiers. Without marks
    each tier is wound as far as planned before the next. What is left over, or missing, is the
    first tier's, which is wound last. Tiers that were not reached have 0 turns.
    """
    if total < LEAST_TURNS:
        return None
    if 1 < len(steps) <= len(car.drum):
        return (*(0.0,) * (len(car.drum) - len(steps)), *reversed(steps))
    turns: list[float] = []
    left = total
    for tier in reversed(car.drum[1:]):
        turns.append(min(left, tier.turns))
        left -= turns[-1]
    return (left, *reversed(turns))
