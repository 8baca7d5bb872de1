"""Winding: how turns that were counted spread over the tiers of a drum."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.car.vehicle import Car

# Less is a nudge of the wheel and no winding.
LEAST_TURNS = 0.25


def why_no_next_tier(car: Car, steps: int) -> str:
    """After so many marks while winding; empty where there is a tier to go on to."""
    if steps < len(car.drum):
        return ""
    return f"this is the drum's last tier already, {car.drum[0].name}"


def counted_turns(car: Car, total: float, steps: Sequence[float] = ()) -> tuple[float, ...] | None:
    """`total` wheel turns as turns on each tier, in drum order; None where nothing was wound.

    The tier that lets go last is wound first. steps are the turns between the builder's marks, in
    the order of winding; with no more of them than tiers they are each a tier's. Without marks each
    tier is wound as far as planned before the next, and what is left over, or missing, is the first
    tier's, which is wound last. Tiers that were not reached have 0 turns.
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
