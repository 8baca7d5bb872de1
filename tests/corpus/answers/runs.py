"""What unspool says of runs, cars, pushes and sensors, as plain dicts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from corpus import asked
from corpus.answers.given import car_of, reading_of, track_of, train_of
from corpus.plain import plain, taken
from instrument.sensors.turned import Bench
from study.rollout.hand import Hand, push
from unspool.finding import Finding
from unspool.instrument.sensors import judge
from unspool.model import PredictionCode, predict
from unspool.model.outcome import EnergyLedger, Prediction
from unspool.reading.motion import LiveMotion, Motion
from unspool.study.rollout import IntervalEstimate, Push, roll_out

Answer = dict[str, Any]

ENERGY = (
    "stored",
    "left_in_weight",
    "drive",
    "catches",
    "landing",
    "rolling",
    "air",
    "grade",
    "unexplained",
    "kinetic",
)
EVENT = (
    "kind",
    "time_s",
    "distance_m",
    "speed_m_s",
    "time_sd_s",
    "distance_sd_m",
    "expected_distance_m",
    "from_tier",
    "to_tier",
)


def _energy(ledger: EnergyLedger) -> Answer:
    return taken(ledger, *ENERGY)


def finding_count(findings: Iterable[Finding]) -> int:
    """How many, without the one that was no part of a prediction when the answers were frozen."""
    return sum(finding.code != PredictionCode.STRING_MARGIN_LOW for finding in findings)


def prediction(found: Prediction) -> Answer:
    return {
        **taken(found, "starts", "start_margin", "distance_m", "distance_low_m", "distance_high_m"),
        **taken(found, "furthest_m", "duration_s", "peak_speed_m_s", "peak_at_m", "release_m"),
        **taken(found, "peak_tension_n", "string_margin", "traction_margin", "tipping_margin"),
        "events": [taken(event, *EVENT) for event in found.events],
        "energy_j": _energy(found.energy),
        "curve": taken(found.curve, "time_s", "distance_m", "speed_m_s"),
        "warning_count": finding_count(found.findings),
    }


def _motion(motion: Motion) -> Answer:
    return {
        "train": taken(motion.train, "time_s", "direction", "number"),
        **taken(motion, "used", "time_s", "distance_m", "speed_m_s", "speed_sd_m_s"),
        **taken(motion, "acceleration_m_s2", "acceleration_sd_m_s2", "pitch", "slot", "legs"),
        **taken(motion, "launch_s", "stop_s", "stop_m", "furthest_s", "furthest_m"),
        **taken(motion, "launch_seen", "stop_seen", "ignored", "missing", "chatter", "handled"),
        **taken(motion, "uncertain", "jitter_s", "spun"),
    }


def read(case: asked.Run) -> Answer:
    found = reading_of(case)
    return {
        **taken(found, "winding", "distance_m", "furthest_m", "duration_s"),
        **taken(found, "peak_speed_m_s", "peak_at_m"),
        "events": [taken(event, *EVENT) for event in found.events],
        "findings": [taken(one, "code", "severity") for one in found.findings],
        "stretches": [
            taken(one, "kind", "tier", "from_m", "to_m", "acceleration_m_s2", "acceleration_sd")
            for one in found.stretches
        ],
        "energy_j": _energy(found.energy),
        "motion": _motion(found.motion),
        "predicted_m": plain(found.prediction.distance_m),
    }


def predicted(case: asked.Predicted) -> Answer:
    return prediction(predict(car_of(case.car), track_of(case.track)))


def watched(case: asked.Watched) -> Answer:
    train = train_of(case.run)
    points = LiveMotion(car_of(case.run.said)).push(train.time_s, train.direction, train.number)
    return taken(points, "distance_m", "speed_m_s", "time_s")


def _estimate(of: IntervalEstimate | None) -> Answer | None:
    return None if of is None else taken(of, "value", "low", "high")


def rolled_out(case: asked.RolledOut) -> Answer:
    pushes = [
        Push(f"push {i}", push(_hand(dict(hand)), seed, disc_seed=7), case.length_m)
        for i, (hand, seed) in enumerate(case.pushes)
    ]
    found = roll_out(pushes, car_of(case.car), case.tape_sd_m)
    counts = ("slots", "widths", "place_sd", "crossed", "edges", "lost", "unsure", "chatter")
    return {
        **taken(found, "nominal_m", "edges_per_turn", "pattern_edges", "proposed_edges"),
        "verdict": str(found.verdict.code),
        "circumference_m": _estimate(found.circumference_m),
        "fitting_edges": _estimate(found.fitting_edges),
        "proposed_m": _estimate(found.proposed_m),
        "pushes": [
            {
                "circumference_m": _estimate(one.circumference_m),
                "left_out": one.left_out is not None,
                **taken(one.travel, *counts, "before", "after", "settled", "pattern"),
                **taken(one.travel, "period", "closed"),
            }
            for one in found.pushes
        ],
        "findings": [taken(one, "code", "severity") for one in found.findings],
    }


def _hand(figures: dict[str, float]) -> Hand:
    if "edges" in figures:
        figures["edges"] = int(figures["edges"])
    return Hand(**figures)


def checked(case: asked.Checked) -> Answer:
    exact = {"a_dead": bool, "b_dead": bool}
    whole = {"slots", "closed", "bounces", "spikes", "way"}
    bench = {k: exact.get(k, int if k in whole else float)(v) for k, v in case.bench}
    found = judge(Bench(**bench).samples(), case.expected, case.turns)
    return {
        **taken(found, "edges_a", "edges_b", "high_share_a", "high_share_b", "phase_deg", "ok"),
        **taken(found, "forward_share", "edges_per_turn", "bounces", "pulses", "lost"),
        "findings": [
            {"code": str(one.code), "severity": str(one.severity)} for one in found.findings
        ],
    }
