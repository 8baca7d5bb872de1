"""A reading as JSON; what is not known is null."""

from __future__ import annotations

from typing import Any

from unspool.reading.events.types import Reading, Stretch
from unspool.render.json.common import FORMAT, Json, finding_json, known
from unspool.render.json.outcome import energy_json, event_json
from unspool.study.measured_run import MeasuredRun

# Nine digits are a nanometre in a metre: finer than any edge, and short enough to read.
DIGITS = 9
TIME_DECIMALS = 7  # seconds, on a clock that may start anywhere


def run_json(reading: Reading, run: MeasuredRun) -> Json:
    """The object that `unspool analyse --json` prints: the reading, and what was said."""
    return reading_json(reading) | {"turns_from": run.turns_from, "taped_m": known(run.taped_m)}


def reading_json(reading: Reading) -> Json:
    """What happened in a run, in SI units; time_s is on the train's clock."""
    motion = reading.motion
    answer = {
        "unspool": FORMAT,
        "car": reading.car,
        "edges": {
            "count": len(motion.train),
            "used": len(motion.used),
            "ignored": motion.ignored,
            "missing": motion.missing,
            "lost_before": motion.train.lost_before,
        },
        "stop_seen": motion.stop_seen,
        "distance_m": known(reading.distance_m),
        "distance_sd_m": known(reading.distance_sd_m),
        "furthest_m": known(reading.furthest_m),
        "furthest_sd_m": known(reading.furthest_sd_m),
        "duration_s": known(reading.duration_s),
        "peak_speed_m_s": known(reading.peak_speed_m_s),
        "peak_at_m": known(reading.peak_at_m),
        "events": [event_json(event) for event in reading.events],
        "findings": [finding_json(finding) for finding in reading.findings],
        "energy_j": energy_json(reading.energy),
        "stretches": [_stretch_json(stretch) for stretch in reading.stretches],
        "winding_turns": list(reading.winding),
    }
    rounded: Json = _rounded(answer)
    return rounded


def _stretch_json(stretch: Stretch) -> Json:
    return {
        "kind": stretch.kind,
        "tier": stretch.tier,
        "from_m": known(stretch.from_m),
        "to_m": known(stretch.to_m),
        "acceleration_m_s2": known(stretch.acceleration_m_s2),
        "acceleration_sd": known(stretch.acceleration_sd),
    }


def _rounded(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _rounded(one, name) for name, one in value.items()}
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    if isinstance(value, float):
        return round(value, TIME_DECIMALS) if key == "time_s" else float(f"{value:.{DIGITS}g}")
    return value
