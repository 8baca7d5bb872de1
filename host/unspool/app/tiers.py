"""The turns on each tier while a car is wound, as the live page shows them."""

from __future__ import annotations

from typing import Any

from unspool.app.live_words import Standing
from unspool.car.winding import counted_turns, why_no_next_tier
from unspool.instrument.record.notices import Phase
from unspool.render.words.units import quantity

WOUND_IN = (Phase.WINDING, Phase.READY)


def say_tiers(standing: Standing) -> list[dict[str, Any]]:
    """A row a tier, in the order in which they are wound, the one under way with now=True."""
    drum = standing.car.drum
    turns = counted_turns(standing.car, standing.wound_turns, standing.wound_steps)
    wound = turns or (0.0,) * len(drum)
    now = _under_way(standing, wound) if standing.shown_phase in WOUND_IN else None
    return [
        {
            "name": tier.name,
            "turns": f"{quantity(wound[k], '')} of {quantity(tier.turns, 'turns')}",
            "now": k == now,
        }
        for k, tier in reversed(list(enumerate(drum)))
    ]


def why_not_mark(standing: Standing) -> str:
    """Why there is no next tier to go on to; empty where there is one."""
    if standing.shown_phase not in WOUND_IN:
        return "Nothing is being wound, so there is no tier to go on from."
    why = why_no_next_tier(standing.car, len(standing.wound_steps))
    return f"{why[0].upper()}{why[1:]}." if why else ""


def next_tier(standing: Standing) -> str:
    """The tier that is wound from a mark made now on."""
    marked = max(len(standing.wound_steps), 1)
    return standing.car.drum[len(standing.car.drum) - 1 - marked].name


def _under_way(standing: Standing, wound: tuple[float, ...]) -> int:
    """Counted from the drum's first tier, which is wound last. Without marks, as planned."""
    drum = standing.car.drum
    if 1 < len(standing.wound_steps) <= len(drum):
        return len(drum) - len(standing.wound_steps)
    unfinished = (k for k in reversed(range(len(drum))) if wound[k] < drum[k].turns)
    return next(unfinished, 0)
