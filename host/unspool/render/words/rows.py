"""A reading's numbers as rows of words: what a page, a file and a table all show alike."""

from __future__ import annotations

from unspool.language import _, later
from unspool.model.outcome import Event, EventKind
from unspool.reading.events.types import Reading
from unspool.render.words.events import event_word, stretch_word
from unspool.render.words.units import UNKNOWN, quantity, signed, with_sd

Row = tuple[str, ...]

# Messages: who shows them translates them.
EVENT_HEAD = (later("event"), later("where"), later("expected"), later("speed"), later("after"))
STRETCH_HEAD = (later("stretch"), later("from"), later("to"), later("acceleration"))
COMPARE_HEAD = ("", later("measured"), later("expected"), later("difference"))


def event_rows(reading: Reading) -> list[Row]:
    """The columns of EVENT_HEAD."""
    return [_event_row(event, reading) for event in reading.events]


def _event_row(event: Event, reading: Reading) -> Row:
    return (
        event_word(event),
        with_sd(event.distance_m, event.distance_sd_m, "m"),
        quantity(_expected_m(event, reading), "m"),
        quantity(event.speed_m_s, "m/s"),
        quantity(event.time_s - reading.motion.launch_s, "s"),
    )


def _expected_m(event: Event, reading: Reading) -> float | None:
    """Where the model puts the event; the launch is at 0 and the stop at its distance."""
    if event.kind is EventKind.LAUNCH:
        return 0.0
    if event.kind is EventKind.STOP:
        return reading.prediction.distance_m
    return event.expected_distance_m


def stretch_rows(reading: Reading) -> list[Row]:
    """The columns of STRETCH_HEAD."""
    return [
        (
            stretch_word(s),
            quantity(s.from_m, "m"),
            quantity(s.to_m, "m"),
            with_sd(s.acceleration_m_s2, s.acceleration_sd, "m/s²", 3),
        )
        for s in reading.stretches
    ]


def compared_rows(reading: Reading) -> list[Row]:
    """The columns of COMPARE_HEAD."""
    expected = reading.prediction
    whole = reading.motion.measures_distance
    rows = [
        (_("distance"), reading.distance_m if whole else None, expected.distance_m, "m"),
        (_("top speed"), reading.peak_speed_m_s, expected.peak_speed_m_s, "m/s"),
        (_("top speed at"), reading.peak_at_m, expected.peak_at_m, "m"),
        (_("duration"), reading.duration_s if whole else None, expected.duration_s, "s"),
    ]
    return [
        (name, quantity(got, unit), quantity(model, unit), _difference(got, model, unit))
        for name, got, model, unit in rows
    ]


def _difference(got: float | None, model: float, unit: str) -> str:
    return _(UNKNOWN) if got is None else signed(got - model, unit)


def edges_line(reading: Reading) -> str:
    motion = reading.motion
    return _(
        "Edges: {recorded} recorded, {used} used, {ignored} ignored, {missing} missing.",
        recorded=len(motion.train),
        used=len(motion.used),
        ignored=motion.ignored,
        missing=motion.missing,
    )
