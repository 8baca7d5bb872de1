"""What unspool says of several runs together, and of the next one, as plain dicts."""

from __future__ import annotations

from typing import Any

import numpy as np

from corpus import asked
from corpus.answers.given import (
    calibration_of,
    calibration_run,
    calibration_runs,
    car_of,
    reading_of,
    track_of,
)
from corpus.answers.runs import Answer, finding_count, prediction
from corpus.plain import plain, taken
from unspool.notebook import coasts_of
from unspool.reading.events.codes import ReadingCode
from unspool.study.calibration import (
    FloorRun,
    RunOutcome,
    break_away,
    calibrate_with_floor,
    likely_distances,
    predict_with,
)
from unspool.study.calibration.coast_laws import judge_coasts
from unspool.study.calibration.ramp import rolling_from_ramp
from unspool.study.compare import ComparedRun, compare
from unspool.study.plan import Aim, Goal, Limits, Owned, Plan, plan
from unspool.study.plan.winding_card import winding_card


def calibrated(case: asked.Calibrated) -> Answer:
    found = calibration_of(case.runs)
    return {
        "terms": {t.name: taken(t, "value", "low", "high", "known") for t in found.terms},
        "resistance_n": taken(found.resistance, "value", "low", "high", "mass_kg", "known"),
        "correlation": plain(np.asarray(found.correlation).tolist()),
        "runs": [
            {
                **taken(one, "measured_m", "modelled_m", "odd"),
                "launch_seen": _launch_seen(one),
                "left_out": one.left_out is not None,
                "bad": one.is_bad,
            }
            for one in found.runs
        ],
        **taken(found, "residual_sd_m", "vouched", run_to_run="scatter"),
        "samples": taken(found.draws, "terms", "scatter"),
        "advice_count": len(found.findings),
    }


def _launch_seen(run: RunOutcome) -> bool:
    return run.without_drive is None or run.without_drive.code != ReadingCode.LAUNCH_NOT_SEEN


def learnt(case: asked.Learnt) -> Answer:
    found, car, track = calibration_of(case.runs), car_of(case.car), track_of(case.track)
    return {
        **prediction(predict_with(found, car, track)),
        "likely_m": plain(likely_distances(found, car, track)),
    }


def floor(case: asked.Floor) -> Answer:
    laid = [
        FloorRun(calibration_run(run, f"run {i}"), start_m, back)
        for i, (run, start_m, back) in enumerate(case.runs)
    ]
    _, found = calibrate_with_floor(laid, case.spacing_m)
    lists = ("distance_m", "height_m", "low_m", "high_m")
    return {
        **{name: plain(getattr(found, name).tolist()) for name in lists},
        **taken(found, "mean_slope_known", "left_out"),
    }


def rests(case: asked.Rests) -> Answer:
    found = break_away(calibration_runs(case.runs), calibration_of(case.runs))
    contradicted = found.finding is not None and found.finding.code == "rests_contradict"
    return {
        **taken(found, "value", "low", "high", "known"),
        "contradicted": contradicted,
        "advised": found.finding is not None and not contradicted,
    }


def planned(case: asked.Planned) -> Answer:
    car = car_of(case.car)
    owned = Owned.measured(car, case.weights_g, case.wheels_mm)
    found = plan(
        car,
        track_of(case.track),
        Goal(Aim(case.goal), case.mark_m),
        Limits(**dict(case.limits)),
        owned,
        calibration_of(case.runs) if case.runs else None,
    )
    return _plan(found)


def _plan(found: Plan) -> Answer:
    lesson = found.most_informative
    return {
        "turns": plain([tier.turns for tier in found.car.drum]),
        "weight_kg": found.car.weight_mass_kg,
        "wheel_m": found.car.driven_wheel.radius_m,
        "part_count": len(found.parts),
        "prediction": prediction(found.prediction),
        "own_prediction": prediction(found.own_prediction),
        **taken(found, "mark_s", "own_mark_s", "gain", "gain_m", "binding", "left_out"),
        **taken(found, learnt="learnt_from"),
        "miscounts": [
            taken(one, "tier", "turns", "distance_m", "change", "keeps") for one in found.miscounts
        ],
        "ranges": [taken(one, "tier", "low", "high") for one in found.ranges],
        "changes": [taken(one, "less", "more") for one in found.changes],
        "lesson": taken(lesson, "turns", "distance_m", "term") if lesson else None,
        "caution_count": finding_count(found.findings),
    }


def carded(case: asked.Card) -> Answer:
    found = winding_card(car_of(case.car), track_of(case.track), case.turns)
    return {
        "winds": [taken(one, "tier", "turns", "string_m", "mark_m") for one in found.windings],
        "splits": [taken(one, "distance_m", "time_s") for one in found.splits],
        **taken(found, "turns", "string_m", "spare_m"),
        "distance_m": plain(found.prediction.distance_m),
    }


def compared(case: asked.Compared) -> Answer:
    runs = [
        ComparedRun(
            f"run {i}",
            reading_of(run),
            car_of(run.said),
            track_of(run.said_track).name,
            note,
            ("sitting", float(i)) if case.in_turns else None,
        )
        for i, (run, note) in enumerate(case.runs)
    ]
    found = compare(runs, case.by)
    return {
        "groups": [
            {
                "name": group.name,
                "quantities": {one.quantity.key: _summary(one) for one in group.summaries},
            }
            for group in found.groups
        ],
        "differences": [_difference(one) for one in found.differences],
        "left_out": [one.run for one in found.left_out],
        "caution_count": len(found.cautions),
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


def coasts(case: asked.Coasts) -> Answer:
    given = coasts_of([reading_of(run) for run in case.runs])
    found = judge_coasts(given)
    return {
        "coasts": [taken(one, "speed_m_s", "distance_m") for one in given],
        "fits": [
            {
                **taken(fit, "law", "squares", "freedom"),
                "terms": [taken(term, "name", "value", "error") for term in fit.terms],
                "lack": taken(fit.lack, "f", "freedom", "chance") if fit.lack else None,
            }
            for fit in found.fits
        ],
        **taken(found, "rejected", "alike"),
        "impossible_count": len(found.impossible),
    }


def ramp(case: asked.Ramp) -> Answer:
    return taken(rolling_from_ramp(case.rolls), "value", "low", "high", "scatter_m", "rolls")
