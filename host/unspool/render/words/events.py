"""Events and stretches in a word or two each."""

from __future__ import annotations

from unspool.model.outcome import Event, EventKind
from unspool.reading.events.types import Stretch
from unspool.render.words.units import NBSP


def event_word(event: Event) -> str:
    """The event in a word or two, as a builder says it. Plain text, not yet safe in a picture."""
    if event.kind is EventKind.TIER_CHANGE:
        return f"to{NBSP}{event.to_tier}" if event.to_tier else f"next{NBSP}tier"
    return {
        EventKind.LAUNCH: "launch",
        EventKind.LANDING: "weight lands",
        EventKind.RELEASE: "release",
        EventKind.FURTHEST: "furthest",
        EventKind.ROLLBACK: "rolls back",
        EventKind.STOP: "stop",
    }[event.kind]


def stretch_word(stretch: Stretch) -> str:
    return "coast" if stretch.kind == "coast" else stretch.tier or "tier"
