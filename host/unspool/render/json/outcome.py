"""Events and energies of a run, measured or predicted, as JSON; what is not known is null."""

from __future__ import annotations

from dataclasses import asdict

from unspool.model.outcome import EnergyLedger, Event, EventKind
from unspool.render.json.common import Json, known


def event_json(event: Event) -> Json:
    """An event; a value that is not known is null. `from` and `to` stand only in a tier change."""
    change = event.kind is EventKind.TIER_CHANGE
    return {
        "kind": str(event.kind),
        **({"from": event.from_tier, "to": event.to_tier} if change else {}),
        "time_s": known(event.time_s),
        "distance_m": known(event.distance_m),
        "speed_m_s": known(event.speed_m_s),
        "time_sd_s": known(event.time_sd_s),
        "distance_sd_m": known(event.distance_sd_m),
        "expected_distance_m": known(event.expected_distance_m),
    }


def energy_json(energy: EnergyLedger) -> Json:
    """Every term in J."""
    return {name: known(value) for name, value in asdict(energy).items()}
