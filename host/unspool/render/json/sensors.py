"""A sensor check as one JSON object."""

from __future__ import annotations

from unspool.instrument.sensors import SensorVerdict
from unspool.render.json.common import FORMAT, Json, finding_json, known


def sensors_json(verdict: SensorVerdict, expected: int | None) -> Json:
    """expected: edges of A a turn by the car file, None if nobody said."""
    return {
        "unspool": FORMAT,
        "ok": verdict.ok,
        "edges": {"a": verdict.edges_a, "b": verdict.edges_b},
        "high_share": {"a": known(verdict.high_share_a), "b": known(verdict.high_share_b)},
        "phase_deg": known(verdict.phase_deg),
        "forward_share": known(verdict.forward_share),
        "edges_per_turn": verdict.edges_per_turn,
        "edges_per_turn_expected": expected,
        "bounces": verdict.bounces,
        "pulses": verdict.pulses,
        "samples_lost": verdict.lost,
        "findings": [finding_json(finding) for finding in verdict.findings],
    }
