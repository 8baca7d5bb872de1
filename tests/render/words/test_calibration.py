"""The sentences of a calibration."""

from __future__ import annotations

import pytest

from render.words.spoken import faults
from unspool.finding import Finding, note, warning
from unspool.render.words import calibration
from unspool.render.words.findings import TEXTS, sentence
from unspool.study.calibration import CalibrationCode as Code
from unspool.study.calibration.coasts import LawFault

SUM = {"resistance_n": 0.205, "mass_kg": 1.55}
TAPE = {"tapes": 3, "around_m": 0.3996, "fits_m": 0.3882, "low_m": 0.3871, "high_m": 0.3893}
SEEN = {"usual_low": 0.65, "usual_high": 0.97, "low": 0.8, "high": 0.9}
LARGER = {"weight": 0.05, "around": -0.03, "drum": 0.04}
SMALLER = {"weight": -0.05, "around": None, "drum": -0.04}
FINDINGS = [
    *(warning(Code.TAPE_DISAGREES, may_slip=slip, **TAPE) for slip in (False, True)),
    *(
        warning(Code.DRIVE_UNUSUAL, drive=drive, **SEEN, **off)
        for drive, off in ((1.01, LARGER), (0.99, LARGER), (0.6, SMALLER))
    ),
    *(
        note(Code.DRIVE_OTHERWISE, said=0.92, drive=0.88, low=0.87, high=0.89, **off)
        for off in (LARGER, SMALLER)
    ),
    warning(Code.TOO_FEW_EDGES, run="run 3", edges=1),
    warning(Code.SLOWING_NOT_SEEN, run="run 3"),
    warning(Code.RUN_LEFT_OUT, run="run 3", found="did_not_start"),
    note(Code.COAST_ONLY, run="run 3", found="string_held"),
    note(Code.BEGINS_AFTER_LAUNCH, run="run 3"),
    note(Code.STOP_NOT_SEEN, run="run 3"),
    warning(Code.RUN_DISAGREES, run="run 3", measured_m=12.1, modelled_m=13.2),
    warning(Code.OTHER_CAR, run="run 3", car="Dunlin", planned="Sandpiper"),
    note(Code.OTHER_WEIGHT, run="run 3", weight_kg=0.5, planned_kg=0.64),
    warning(Code.OTHER_WHEELS, run="run 3", first_run="run 1"),
    warning(Code.UNLIKE_FLOOR, run="run 3"),
    note(Code.FLOOR_NOT_SHOWN, half_m=0.012),
    note(Code.FLOOR_ONE_WAY),
    warning(Code.ROLLED_BACK, run="run 3", measured_m=23.6, modelled_m=31.5),
    warning(Code.WOUND_OTHERWISE, run="run 3", tier="start", said=5.0, turns=4.75, sd=0.02),
    note(Code.SPEED_DRAG_TOGETHER, drag_n=0.03, low_n=0.028, high_n=0.032, speed_m_s=1.4),
    note(Code.RESISTANCE_TOGETHER, low_n=0.2, high_n=0.21, **SUM),
    note(Code.ONE_MASS, **SUM),
    note(Code.CONSTANT_DRAG_OPEN),
    note(Code.CONSTANT_DRAG_STATED, **SUM),
    note(Code.AIR_DRAG_OPEN),
    note(Code.EFFICIENCY_OPEN),
    note(Code.FEW_RUNS, more=1),
    note(Code.FEW_RUNS, more=2),
    note(Code.LEVEL_ASSUMED),
    warning(Code.DRAG_GROWS, chance=0.002),
    warning(Code.RESTS_CONTRADICT, run="run 3", held_run="run 1"),
    warning(Code.RESTS_CONTRADICT, run="run 3", held_run=None),
    note(Code.NO_RUN_HELD),
    note(Code.BREAK_AWAY_WIDE, low=0.012, high=0.03),
    warning(Code.CONSTANT_LAW_REJECTED, chance=0.0021),
    note(Code.NO_REPEATS),
    warning(Code.NO_LAW_FITS),
    note(Code.LAWS_ALIKE, laws=("constant and linear", "constant and quadratic")),
    note(Code.ONE_LAW, law="constant"),
    *(note(Code.LAW_IMPOSSIBLE, law="constant and linear", fault=str(one)) for one in LawFault),
]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(calibration.TEXTS) == set(Code)
    assert calibration.TEXTS.items() <= TEXTS.items()
    assert {finding.code for finding in FINDINGS} == set(Code)


@pytest.mark.parametrize("finding", FINDINGS, ids=lambda finding: finding.code)
def test_every_finding_is_a_good_sentence(finding: Finding) -> None:
    assert faults(sentence(finding)) == []


def test_findings_say_different_things() -> None:
    assert len({sentence(finding) for finding in FINDINGS}) == len(FINDINGS)


def test_a_finding_of_a_run_names_it() -> None:
    of_a_run = [finding for finding in FINDINGS if "run" in finding.values]
    assert all(sentence(finding).startswith("run 3") for finding in of_a_run)
