"""The lane: where the car is on its way, as Track draws it from above."""

from __future__ import annotations

from math import ceil
from typing import Any

from unspool.app.live_status import LiveStatus
from unspool.instrument.record.notices import Phase
from unspool.model.outcome import EventKind
from unspool.render.words.events import event_word, marked
from unspool.render.words.reading_units import reading_of

ROOM = 1.06
LEAST_M = 5.0


def lane_json(s: LiveStatus) -> dict[str, Any]:
    """In the reader's units, except next_m.

    reach: the whole lane, never short of the stop's band. next: the event ahead, in words.
    """
    ends = [s.distance_m, LEAST_M]
    events = marked(s.prediction.events) if s.prediction else []
    ends += [event.distance_m for event in events]
    stop = s.stop if s.phase is not Phase.ENDED else None
    if stop:
        ends.append(stop.high_m)
    ahead = next((event for event in events if event.distance_m > s.distance_m), None)
    read = reading_of("m")
    far = read.factor
    return {
        "unit": read.unit,
        "reach": float(ceil(far * ROOM * max(ends))),
        "at": round(far * s.distance_m, 3),
        "stop": [round(far * stop.low_m, 3), round(far * stop.high_m, 3)] if stop else None,
        "events": [
            {"at": round(far * event.distance_m, 2), "word": event_word(event)}
            for event in events
            if event.kind is not EventKind.STOP
        ],
        "next": event_word(ahead) if ahead else "",
        "next_m": round(ahead.distance_m - s.distance_m, 2) if ahead else None,
    }
