"""Which part of a run counts, by its reading's findings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import measured
from unspool.finding import Finding, note, warning
from unspool.study.calibration import CalibrationRun
from unspool.study.calibration.run_use import run_use
from unspool.virtual.truth import USUAL, random_car


@pytest.fixture(scope="module")
def run() -> CalibrationRun:
    """A sound run that the sensor saw whole."""
    imperfections = replace(USUAL, missed=0.0)
    car = random_car(np.random.default_rng(5), tiers=2)
    return measured(car, "run 1", 1, imperfections=imperfections)


def found(run: CalibrationRun, *findings: Finding) -> CalibrationRun:
    return replace(run, reading=replace(run.reading, findings=findings))


def test_a_sound_run_is_used_whole(run: CalibrationRun) -> None:
    use = run_use(found(run))
    assert use.left_out is None
    assert use.without_drive is None
    assert use.begin_m == 0.0
    assert use.rest_m == run.reading.distance_m


@pytest.mark.parametrize("code", ["did_not_start", "slot_count_doubtful"])
def test_a_useless_run_is_left_out_by_its_code(run: CalibrationRun, code: str) -> None:
    why = run_use(found(run, warning(code))).left_out
    assert why is not None
    assert (why.code, dict(why.values)) == ("run_left_out", {"run": "run 1", "found": code})


def test_too_few_edges_are_left_out(run: CalibrationRun) -> None:
    short = replace(run.reading.motion, legs=(11,))
    why = run_use(replace(run, reading=replace(run.reading, findings=(), motion=short))).left_out
    assert why is not None
    assert (why.code, dict(why.values)) == ("too_few_edges", {"run": "run 1", "edges": 11})


@pytest.mark.parametrize("code", ["slip_at_start", "early_release", "string_held", "handled"])
def test_a_spoilt_drive_leaves_the_coast(run: CalibrationRun, code: str) -> None:
    use = run_use(found(run, warning(code)))
    ends = ("release", "landing")
    released = max(e.distance_m for e in run.reading.events if e.kind.value in ends)
    assert use.without_drive is not None
    assert use.without_drive.values == {"run": "run 1", "found": code}
    assert released < use.begin_m < 0.5 * (released + run.reading.distance_m)


def test_the_coast_begins_after_the_last_push(run: CalibrationRun) -> None:
    end_m = 0.8 * run.reading.distance_m
    use = run_use(found(run, warning("handled", begin_m=0.0, end_m=end_m)))
    assert use.begin_m > end_m


@pytest.mark.parametrize("code", ["early_release", "handled", "missing_edges", "chatter"])
def test_a_note_changes_nothing(run: CalibrationRun, code: str) -> None:
    assert run_use(found(run, note(code))) == run_use(found(run))


def test_an_unseen_launch_leaves_the_drive_and_the_distance_open(run: CalibrationRun) -> None:
    use = run_use(found(run, warning("launch_not_seen", speed_m_s=1.0)))
    assert use.without_drive is not None
    assert use.begin_m == 0.0
    assert use.rest_m is None


def test_an_unseen_rest_gives_no_distance(run: CalibrationRun) -> None:
    cut = replace(run.reading, motion=replace(run.reading.motion, stop_seen=False))
    use = run_use(replace(run, reading=cut))
    assert use.without_drive is None
    assert use.rest_m is None


def test_edges_lost_before_the_first_leave_the_drive_and_the_distance_open(
    run: CalibrationRun,
) -> None:
    use = run_use(found(run, warning("edges_lost_before", edges=271)))
    assert use.without_drive is not None
    assert use.rest_m is None
