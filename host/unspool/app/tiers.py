"""The turns on each tier while a car is wound, as the live page shows them."""

from __future__ import annotations

from typing import Any

from unspool.app.live_status import LiveStatus
from unspool.car import Tier
from unspool.car.winding import counted_turns, why_no_next_tier
from unspool.errors import InputError
from unspool.instrument.record.notices import Phase
from unspool.language import _
from unspool.render.words.units import quantity
from unspool.render.words.values import as_sentence

WOUND_IN = (Phase.WINDING, Phase.READY)


def tier_rows(status: LiveStatus) -> list[dict[str, Any]]:
    """One row for each tier, in the order of winding. The tier being wound has now=True."""
    if status.car is None:
        return []
    drum = status.car.drum
    turns = counted_turns(status.car, status.wound_turns, status.wound_steps)
    wound = turns or (0.0,) * len(drum)
    now = _under_way(status, drum, wound) if status.shown_phase in WOUND_IN else None
    return [
        {
            "name": tier.name,
            "turns": _(
                "{wound} of {planned}",
                wound=quantity(wound[k], ""),
                planned=quantity(tier.turns, "turns"),
            ),
            "now": k == now,
            "wound": round(wound[k], 3),
            "planned": tier.turns,
            "radius_mm": round(1e3 * tier.radius_m, 2),
        }
        for k, tier in reversed(list(enumerate(drum)))
    ]


def turns_left(status: LiveStatus) -> tuple[str, float] | None:
    """The tier that is being wound, or is wound first, and what is left to wind on it."""
    rows = tier_rows(status)
    row = next((row for row in rows if row["now"]), rows[0] if rows else None)
    return (row["name"], max(row["planned"] - row["wound"], 0.0)) if row else None


def next_tier(status: LiveStatus) -> str:
    """The tier that is wound after a mark made now. Raises InputError if there is none."""
    car = status.car
    if car is None or status.shown_phase not in WOUND_IN:
        raise InputError(_("Nothing is being wound now, so there is no tier to mark."))
    if why := why_no_next_tier(car, len(status.wound_steps)):
        raise InputError(as_sentence(why))
    marked = max(len(status.wound_steps), 1)
    return car.drum[len(car.drum) - 1 - marked].name


def last_tier(status: LiveStatus) -> str:
    """The tier that is wound again after the last mark is taken back. Raises InputError."""
    car, steps = status.car, len(status.wound_steps)
    if car is None or status.shown_phase not in WOUND_IN:
        raise InputError(_("Nothing is being wound now, so there is no mark to take back."))
    if not 1 < steps <= len(car.drum):
        raise InputError(_("No tier is marked yet."))
    return car.drum[len(car.drum) + 1 - steps].name


def _under_way(status: LiveStatus, drum: tuple[Tier, ...], wound: tuple[float, ...]) -> int:
    """Index of the tier being wound, 0 for the one wound last. Without marks, as planned."""
    if 1 < len(status.wound_steps) <= len(drum):
        return len(drum) - len(status.wound_steps)
    unfinished = (k for k in reversed(range(len(drum))) if wound[k] < drum[k].turns)
    return next(unfinished, 0)
