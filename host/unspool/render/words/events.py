"""Events and stretches in a word or two each."""

from __future__ import annotations

from collections.abc import Iterable

from unspool.language import _, later
from unspool.model.outcome import Event, EventKind
from unspool.reading.events.types import Stretch

_WORDS = {
    EventKind.LAUNCH: later("launch"),
    EventKind.LANDING: later("weight lands"),
    EventKind.RELEASE: later("release"),
    EventKind.FURTHEST: later("furthest"),
    EventKind.ROLLBACK: later("rolls back"),
    EventKind.STOP: later("stop"),
}


def event_word(event: Event) -> str:
    """The event in a word or two, as a builder says it. Plain text, not yet safe in a picture."""
    if event.kind is EventKind.TIER_CHANGE:
        tier = event.to_tier
        return _("to\u00a0{tier}", tier=tier) if tier else _("next\u00a0tier")
    return _(_WORDS[event.kind])


def stretch_word(stretch: Stretch) -> str:
    return _("coast") if stretch.kind == "coast" else stretch.tier or _("tier")


def marked(events: Iterable[Event]) -> list[Event]:
    """The events worth a mark, from the launch line outwards.

    Not the launch, which is where the axis begins, nor a change from a tier that was not wound.
    """
    kept = (
        event
        for event in events
        if event.kind is not EventKind.LAUNCH
        and not (event.kind is EventKind.TIER_CHANGE and event.distance_m <= 0.0)
    )
    return sorted(kept, key=lambda event: event.distance_m)
