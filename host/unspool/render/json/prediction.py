"""A prediction as JSON; what is not known is null."""

from __future__ import annotations

from unspool.model.outcome import Prediction
from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.json.outcome import energy_json, event_json
from unspool.render.words.findings import sentence


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
        "warnings": [sentence(finding) for finding in p.findings],
        "findings": [finding_json(finding) for finding in p.findings],
    }
