"""A prediction as the JSON object that other programs read; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict
from math import isfinite
from typing import Any

from unspool.model.outcome import EnergyLedger, Event, EventKind, Prediction

FORMAT = 1
Json = dict[str, Any]


def known(value: float | None) -> float | None:
    """A number that JSON can hold, or None."""
    return float(value) if value is not None and isfinite(value) else None


def event_json(event: Event) -> Json:
    """An event; a value that is not known is null. `from` and `to` stand only in a tier change."""
    told: Json = {"kind": str(event.kind)}
    if event.kind is EventKind.TIER_CHANGE:
        told |= {"from": event.from_tier, "to": event.to_tier}
    told |= {
        "time_s": known(event.time_s),
        "distance_m": known(event.distance_m),
        "speed_m_s": known(event.speed_m_s),
    }
    for key in ("time_sd_s", "distance_sd_m", "expected_distance_m"):
        told[key] = known(getattr(event, key))
    return told


def energy_json(energy: EnergyLedger) -> Json:
    return {name: known(value) for name, value in asdict(energy).items()}


def prediction_json(prediction: Prediction) -> Json:
    """The object that `unspool predict --json` prints, in SI units."""
    p = prediction
    return {
        "unspool": FORMAT,
        "car": p.car,
        "starts": p.starts,
        "start_margin": known(p.start_margin),
        "distance_m": known(p.distance_m),
        "distance_low_m": known(p.distance_low_m),
        "distance_high_m": known(p.distance_high_m),
        "furthest_m": known(p.furthest_m),
        "duration_s": known(p.duration_s),
        "peak_speed_m_s": known(p.peak_speed_m_s),
        "peak_at_m": known(p.peak_at_m),
        "release_m": known(p.release_m),
        "events": [event_json(event) for event in p.events],
        "energy_j": energy_json(p.energy),
        "string": {"peak_tension_n": known(p.peak_tension_n), "margin": known(p.string_margin)},
        "traction_margin": known(p.traction_margin),
        "tipping_margin": known(p.tipping_margin),
        "warnings": list(p.warnings),
    }
