"""The sentences of what a prediction finds."""

from __future__ import annotations

import pytest

from render.words.spoken import faults
from unspool.finding import Finding, note, warning
from unspool.model import PredictionCode as Code
from unspool.render.words import prediction
from unspool.render.words.findings import TEXTS, sentence

PREDICTION_FINDINGS = [
    warning(Code.DOES_NOT_START, start_margin=0.7),
    warning(Code.MAY_NOT_START, share=0.25),
    warning(Code.STOPS_ON_TIER, tier="run"),
    warning(Code.NEVER_STOPS),
    warning(Code.ROLLS_BACK, from_m=12.5),
    warning(Code.LARGER_TIER, tier="run", before="start"),
    warning(Code.TAPER_OUTRUNS_WEIGHT, tier="cone"),
    warning(Code.WHEELS_SLIP, margin=0.8),
    warning(Code.TIPS_BACK, margin=0.9),
    warning(Code.STRING_MAY_BREAK, margin=0.4, peak_tension_n=40.0),
    warning(Code.STRING_MARGIN_LOW, margin=1.4, peak_tension_n=40.0),
    warning(Code.STRING_TOO_LONG, string_m=1.2, drop_m=0.5),
    note(Code.WEIGHT_LANDS_FIRST, spare_m=0.03),
    note(Code.DROP_NOT_USED, early_m=0.05, left_j=0.31),
    note(Code.BREAK_AWAY_BELOW_ROLLING, break_away=0.005, rolling=0.012),
    note(Code.AIR_DRAG_LEFT_OUT),
    note(Code.HANDBOOK_LOSSES, losses=("rolling_coefficient", "drive_efficiency")),
]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(prediction.TEXTS) == set(Code) == {one.code for one in PREDICTION_FINDINGS}
    assert prediction.TEXTS.items() <= TEXTS.items()


@pytest.mark.parametrize("finding", PREDICTION_FINDINGS, ids=lambda finding: finding.code)
def test_every_finding_is_a_good_sentence(finding: Finding) -> None:
    assert faults(sentence(finding)) == []


def test_handbook_values_are_called_as_people_do() -> None:
    found = note(Code.HANDBOOK_LOSSES, losses=("tyre_friction",))
    assert sentence(found) == "From the handbook: grip of the tyres. Calibrate from attempts."


def test_lengths_of_string_are_in_millimetres() -> None:
    assert "50\u00a0mm" in sentence(note(Code.DROP_NOT_USED, early_m=0.05, left_j=0.31))
    assert "0.31\u00a0J" in sentence(note(Code.DROP_NOT_USED, early_m=0.05, left_j=0.31))
