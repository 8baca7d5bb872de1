"""The one module of the corpus that calls unspool; its keys stay when names in unspool change."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np

from corpus import asked, edges
from corpus.plain import plain, taken
from rollout.hand import Hand, push
from sensors.turned import Bench
from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.compare import ComparedRun, compare_runs
from unspool.demo import scenario
from unspool.errors import InputError
from unspool.events import Reading, read_run
from unspool.losses import (
    Calibration,
    CalibrationRun,
    FloorRun,
    break_away,
    calibrate,
    likely_distances,
    predict_with,
    slope_profile,
)
from unspool.losses.coast_laws import judge_coasts
from unspool.losses.ramp import rolling_from_ramp
from unspool.model import predict
from unspool.model.outcome import EnergyLedger, Prediction
from unspool.motion import LiveMotion, Motion
from unspool.notebook import coasts_of
from unspool.plan import Aim, Goal, Limits, Owned, Plan, plan
from unspool.plan.card import card
from unspool.pulses.train import PulseTrain
from unspool.rollout import Estimate, Push, roll_out
from unspool.sensors import judge
from unspool.truth import Spoil, session
from unspool.truth import run as true_run

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


def answer(case: asked.Asked) -> Answer:
    """What unspool answers to this case; a refusal is an answer too."""
    try:
        return _ANSWERS[type(case)](case)
    except InputError:
        return {"refused": True}


# What goes in.


@lru_cache(maxsize=512)
def _car(text: str) -> Car:
    named = {asked.SANDPIPER: scenario.sandpiper, asked.DUNLIN: scenario.dunlin}
    return named[text]() if text in named else parse_car(text, "case")


@lru_cache(maxsize=512)
def _track(text: str) -> Track:
    if text == asked.CORRIDOR:
        return scenario.corridor()
    return parse_track(text, "case") if text else FLAT


@lru_cache(maxsize=64)
def _train(run: asked.Run) -> PulseTrain:
    if run.edges is not None:
        made = edges.made([t for t, _ in run.edges], [way for _, way in run.edges])
    elif run.pushed:
        made = edges.pushed(_car(run.car).metres_per_edge, run.pushed)
    else:
        made = _true_edges(run)
    made = edges.changed(made, run.changes)
    return PulseTrain(made.time_s, made.direction, made.number)


def _true_edges(run: asked.Run) -> edges.Edges:
    whole = {"chatter", "handled"}
    spoil = {name: int(value) if name in whole else value for name, value in run.spoil}
    true = true_run(_car(run.car), _track(run.track), Spoil(**spoil), run.seed)
    train = session(true) if run.wound else true.train
    return edges.Edges(train.time_s, train.direction, train.number)


@lru_cache(maxsize=64)
def _reading(run: asked.Run) -> Reading:
    return read_run(_train(run), _car(run.said), _track(run.said_track), run.winding)


def _calibration_run(run: asked.Run, name: str) -> CalibrationRun:
    return CalibrationRun(_train(run), _car(run.said), _track(run.said_track), run.winding, name)


def _calibration_runs(runs: tuple[asked.Run, ...]) -> list[CalibrationRun]:
    return [_calibration_run(run, f"run {i}") for i, run in enumerate(runs)]


@lru_cache(maxsize=16)
def _calibration(runs: tuple[asked.Run, ...]) -> Calibration:
    return calibrate(_calibration_runs(runs))


# What comes out.


def _energy(ledger: EnergyLedger) -> Answer:
    return taken(ledger, *ENERGY)


def _prediction(told: Prediction) -> Answer:
    return {
        **taken(told, "starts", "start_margin", "distance_m", "distance_low_m", "distance_high_m"),
        **taken(told, "furthest_m", "duration_s", "peak_speed_m_s", "peak_at_m", "release_m"),
        **taken(told, "peak_tension_n", "string_margin", "traction_margin", "tipping_margin"),
        "events": [taken(event, *EVENT) for event in told.events],
        "energy_j": _energy(told.energy),
        "curve": taken(told.curve, "time_s", "distance_m", "speed_m_s"),
        "warning_count": len(told.warnings),
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


def _read(case: asked.Run) -> Answer:
    told = _reading(case)
    return {
        **taken(told, "winding", "distance_m", "furthest_m", "duration_s"),
        **taken(told, "peak_speed_m_s", "peak_at_m"),
        "events": [taken(event, *EVENT) for event in told.events],
        "findings": [taken(found, "code", "severity") for found in told.findings],
        "stretches": [
            taken(one, "kind", "tier", "from_m", "to_m", "acceleration_m_s2", "acceleration_sd")
            for one in told.stretches
        ],
        "energy_j": _energy(told.energy),
        "motion": _motion(told.motion),
        "predicted_m": plain(told.prediction.distance_m),
    }


def _predicted(case: asked.Predicted) -> Answer:
    return _prediction(predict(_car(case.car), _track(case.track)))


def _watched(case: asked.Watched) -> Answer:
    train = _train(case.run)
    points = LiveMotion(_car(case.run.said)).push(train.time_s, train.direction, train.number)
    return taken(points, "distance_m", "speed_m_s", "time_s")


def _calibrated(case: asked.Calibrated) -> Answer:
    told = _calibration(case.runs)
    return {
        "terms": {t.name: taken(t, "value", "low", "high", "known") for t in told.terms},
        "resistance_n": taken(told.resistance, "value", "low", "high", "mass_kg", "known"),
        "correlation": plain(np.asarray(told.correlation).tolist()),
        "runs": [
            {
                **taken(one, "measured_m", "modelled_m", "odd", "launch_seen"),
                "left_out": one.left_out is not None,
                "bad": one.is_bad,
            }
            for one in told.runs
        ],
        **taken(told, "residual_sd_m", "vouched", run_to_run="scatter"),
        "samples": taken(told.draws, "terms", "scatter"),
        "advice_count": len(told.advice),
    }


def _learnt(case: asked.Learnt) -> Answer:
    told, car, track = _calibration(case.runs), _car(case.car), _track(case.track)
    return {
        **_prediction(predict_with(told, car, track)),
        "likely_m": plain(likely_distances(told, car, track)),
    }


def _floor(case: asked.Floor) -> Answer:
    laid = [
        FloorRun(_calibration_run(run, f"run {i}"), start_m, back)
        for i, (run, start_m, back) in enumerate(case.runs)
    ]
    told = slope_profile(laid, case.spacing_m)
    lists = ("distance_m", "height_m", "low_m", "high_m")
    return {
        **{name: plain(getattr(told, name).tolist()) for name in lists},
        **taken(told, "mean_slope_known", "left_out"),
    }


def _rests(case: asked.Rests) -> Answer:
    told = break_away(_calibration_runs(case.runs), _calibration(case.runs))
    return {
        **taken(told, "value", "low", "high", "known"),
        "contradicted": told.contradicts is not None,
        "advised": told.advice is not None,
    }


def _planned(case: asked.Planned) -> Answer:
    car = _car(case.car)
    owned = Owned.measured(car, case.weights_g, case.wheels_mm)
    told = plan(
        car,
        _track(case.track),
        Goal(Aim(case.goal), case.mark_m),
        Limits(**dict(case.limits)),
        owned,
        _calibration(case.runs) if case.runs else None,
    )
    return _plan(told)


def _plan(told: Plan) -> Answer:
    lesson = told.lesson
    return {
        "turns": plain([tier.turns for tier in told.car.drum]),
        "weight_kg": told.car.weight_mass_kg,
        "wheel_m": told.car.driven_wheel.radius_m,
        "part_count": len(told.parts),
        "prediction": _prediction(told.prediction),
        "own_prediction": _prediction(told.own_prediction),
        **taken(told, "mark_s", "own_mark_s", "gain", "gain_m", "binding", "left_out", "learnt"),
        "miscounts": [
            taken(one, "tier", "turns", "distance_m", "change", "keeps") for one in told.slips
        ],
        "ranges": [taken(one, "tier", "low", "high") for one in told.ranges],
        "changes": [taken(one, "less", "more") for one in told.changes],
        "lesson": taken(lesson, "turns", "distance_m", "term") if lesson else None,
        "caution_count": len(told.cautions),
    }


def _card(case: asked.Card) -> Answer:
    told = card(_car(case.car), _track(case.track), case.turns)
    return {
        "winds": [taken(one, "tier", "turns", "string_m", "mark_m") for one in told.winds],
        "splits": [taken(one, "distance_m", "time_s") for one in told.splits],
        **taken(told, "turns", "string_m", "spare_m"),
        "distance_m": plain(told.prediction.distance_m),
    }


def _compared(case: asked.Compared) -> Answer:
    runs = [
        ComparedRun(
            f"run {i}",
            _reading(run),
            _car(run.said),
            _track(run.said_track).name,
            note,
            ("sitting", float(i)) if case.in_turns else None,
        )
        for i, (run, note) in enumerate(case.runs)
    ]
    told = compare_runs(runs, case.by)
    return {
        "groups": [
            {
                "name": group.name,
                "quantities": {one.quantity.key: _summary(one) for one in group.summaries},
            }
            for group in told.groups
        ],
        "differences": [_difference(one) for one in told.differences],
        "left_out": [one.name for one in told.left_out],
        "caution_count": len(told.cautions),
    }


def _summary(one: Any) -> Answer:
    mean = taken(one.mean, "value", "standard_error", "freedom", "interval") if one.mean else None
    return {
        **taken(one, "values", "repeatability"),
        "sd": plain(one.sample.sd) if one.sample else None,
        "mean": mean,
    }


def _difference(one: Any) -> Answer:
    return {
        "quantity": one.quantity.key,
        **taken(one, "first", "second", "counts", "paired", "verdict", "more_runs"),
        **taken(one.estimate, "value", "standard_error", "freedom", "interval"),
    }


def _estimate(of: Estimate | None) -> Answer | None:
    return None if of is None else taken(of, "value", "low", "high")


def _rolled_out(case: asked.RolledOut) -> Answer:
    pushes = [
        Push(f"push {i}", push(_hand(dict(hand)), seed, disc_seed=7), case.length_m)
        for i, (hand, seed) in enumerate(case.pushes)
    ]
    told = roll_out(pushes, _car(case.car), case.tape_sd_m)
    counts = ("slots", "widths", "place_sd", "crossed", "edges", "lost", "unsure", "chatter")
    return {
        **taken(told, "nominal_m", "edges_per_turn", "pattern_edges", "proposed_edges", "verdict"),
        "circumference_m": _estimate(told.circumference_m),
        "fitting_edges": _estimate(told.fitting_edges),
        "proposed_m": _estimate(told.proposed_m),
        "pushes": [
            {
                "circumference_m": _estimate(one.circumference_m),
                "left_out": one.left_out is not None,
                **taken(one.travel, *counts, "before", "after", "settled", "pattern"),
                **taken(one.travel, "period", "closed"),
            }
            for one in told.pushes
        ],
        "findings": [taken(one, "code", "severity") for one in told.remarks],
    }


def _hand(figures: dict[str, float]) -> Hand:
    if "edges" in figures:
        figures["edges"] = int(figures["edges"])
    return Hand(**figures)


def _coasts(case: asked.Coasts) -> Answer:
    coasts = coasts_of([_reading(run) for run in case.runs])
    told = judge_coasts(coasts)
    return {
        "coasts": [taken(one, "speed_m_s", "distance_m") for one in coasts],
        "fits": [
            {
                **taken(fit, "law", "squares", "freedom"),
                "terms": [taken(term, "name", "value", "error") for term in fit.terms],
                "lack": taken(fit.lack, "f", "freedom", "chance") if fit.lack else None,
            }
            for fit in told.fits
        ],
        **taken(told, "rejected", "alike"),
        "impossible_count": len(told.impossible),
    }


def _ramp(case: asked.Ramp) -> Answer:
    return taken(rolling_from_ramp(case.rolls), "value", "low", "high", "scatter_m", "rolls")


def _checked(case: asked.Checked) -> Answer:
    exact = {"a_dead": bool, "b_dead": bool}
    whole = {"slots", "closed", "bounces", "spikes", "way"}
    bench = {k: exact.get(k, int if k in whole else float)(v) for k, v in case.bench}
    told = judge(Bench(**bench).samples(), case.expected, case.turns)
    return {
        **taken(told, "edges_a", "edges_b", "high_share_a", "high_share_b", "phase_deg", "ok"),
        **taken(told, "forward_share", "edges_per_turn", "bounces", "pulses", "lost"),
        "findings": [taken(one, "code", "grade") for one in told.remarks],
    }


_ANSWERS: dict[type, Callable[[Any], Answer]] = {
    asked.Run: _read,
    asked.Predicted: _predicted,
    asked.Watched: _watched,
    asked.Calibrated: _calibrated,
    asked.Learnt: _learnt,
    asked.Floor: _floor,
    asked.Rests: _rests,
    asked.Planned: _planned,
    asked.Card: _card,
    asked.Compared: _compared,
    asked.RolledOut: _rolled_out,
    asked.Coasts: _coasts,
    asked.Ramp: _ramp,
    asked.Checked: _checked,
}
