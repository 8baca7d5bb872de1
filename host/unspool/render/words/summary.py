"""An attempt on one page, in words that a class understands."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from unspool.language import _, later
from unspool.model.outcome import EnergyLedger, Event, EventKind
from unspool.reading.events.types import Reading
from unspool.render.words.units import apart, quantity

AS_EXPECTED = 0.02  # of the distance: nobody sees less on a floor
LEAST = 0.01  # of the energy: smaller shares are not worth a word
_SHARES = (
    (later("{share} went into rolling: tyres, bearings and floor."), ("rolling",)),
    (later("{share} went into the air."), ("air",)),
    (later("{share} stayed in the string, the pulley and the peg."), ("drive",)),
    (later("{share} went when the string jerked at the change of tier."), ("catches",)),
    (later("{share} went when the weight landed, or stayed in it."), ("landing", "left_in_weight")),
    (later("{share} went into climbing: the floor rises."), ("grade",)),
    (later("{share} went somewhere that the sensor cannot see."), ("unexplained",)),
)


def summary_sentences(reading: Reading) -> list[str]:
    """What the car did, in the order in which it did it. Empty if nothing moved."""
    if not reading.motion.measures_distance or reading.distance_m <= 0.0:
        return [_("The sensor did not see the whole attempt, so its distance is not known.")]
    return [*_way(reading), *_events(reading)]


def energy_sentences(ledger: EnergyLedger) -> list[str]:
    """What the energy of the weight went into, the largest share first."""
    if ledger.stored <= 0.0:
        return []
    shares = [
        (sum(getattr(ledger, part) or 0.0 for part in parts) / ledger.stored, text)
        for text, parts in _SHARES
    ]
    said = [
        _(text, share=quantity(100.0 * share, "%", 0))
        for share, text in sorted(shares, reverse=True)
        if share >= LEAST
    ]
    return [_("The lifted weight stored {stored}.", stored=quantity(ledger.stored, "J")), *said]


def _way(reading: Reading) -> Iterator[str]:
    yield _(
        "{car} rolled {distance} in {time}.",
        car=reading.car,
        distance=quantity(reading.distance_m, "m"),
        time=quantity(reading.duration_s, "s", 1),
    )
    expected = reading.prediction.distance_m
    if not isfinite(expected) or expected <= 0.0:
        return
    off = reading.distance_m - expected
    said = {"expected": quantity(expected, "m")}
    said["off"] = apart(reading.distance_m, expected, "m")
    if abs(off) < AS_EXPECTED * expected:
        yield _("The model expected {expected}: about the same.", **said)
    elif off > 0.0:
        yield _("The model expected {expected}: it went {off} farther.", **said)
    else:
        yield _("The model expected {expected}: {off} were missing.", **said)


def _events(reading: Reading) -> Iterator[str]:
    for event in reading.events:
        if event.kind is EventKind.TIER_CHANGE and event.to_tier:
            place = quantity(event.distance_m, "m")
            tier = event.to_tier
            yield _(
                "After {place} the string changed to the tier “{tier}”.", place=place, tier=tier
            )
        if event.kind is EventKind.RELEASE:
            yield _released(event, reading)
    yield _(
        "Its top speed was {speed}.",
        speed=quantity(reading.peak_speed_m_s, "m/s"),
    )


def _released(event: Event, reading: Reading) -> str:
    return _(
        "The string let go after {place}. The car coasted {coast} more.",
        place=quantity(event.distance_m, "m"),
        coast=quantity(reading.furthest_m - event.distance_m, "m"),
    )
