"""Words of a contest: every finding has a sentence, and scores keep the rules' units."""

from __future__ import annotations

import pytest

from contest.made import Notes
from unspool.contest import By, Class, ContestCode, Kind, Measure, Rules, Ties, findings
from unspool.finding import Finding
from unspool.render.words.contest import score_text
from unspool.render.words.findings import sentence
from unspool.render.words.reading_units import ReadingUnits, reading_in


def all_findings() -> list[Finding]:
    light = Class(name="light", weight_max_g=500)
    rules = Rules(classes=(light,), ties=Ties.RUN_OFF, by=By.TAPE_FIRST, attempts=1)
    notes = Notes(rules)
    first, second = (notes.enter(team, weight_g=400.0) for team in ("Reed", "Sedge"))
    third = notes.enter("Rush", weight_g=900.0)
    for entry in (first, second):
        notes.tape(entry, 1, 5.0)
    notes.note(Kind.DOUBTED, "Ben", entry=first, attempt=1, metres=5.4)
    of_run = {"run": "4", "furthest_m": 7.0, "resting_m": 7.0, "time_s": None}
    notes.note(Kind.RUN, entry=second, attempt=1, **of_run)
    notes.note(Kind.CALLED, entry=third, attempt=1)
    return list(findings(notes.contest))


FINDINGS = all_findings()


def test_there_is_one_of_each() -> None:
    assert sorted(one.code for one in FINDINGS) == sorted(ContestCode)


@pytest.mark.parametrize("found", FINDINGS, ids=lambda found: found.code)
def test_each_has_a_sentence_that_names_its_values(found: Finding) -> None:
    text = sentence(found)
    for value in (found.values.get(name) for name in ("entry", "who", "place")):
        assert value is None or str(value) in text
    for metres in (found.values.get(name) for name in ("tape_m", "wheel_m", "metres_m")):
        assert metres is None or f"{metres:.2f}\u00a0m" in text


def test_scores_stay_in_the_units_of_the_rules() -> None:
    with reading_in(ReadingUnits.FEET):
        assert score_text(12.3, Rules()) == "12.30\u00a0m"
    assert score_text(3.125, Rules()) == "3.13\u00a0m"  # half up, as people round
    timed = Rules(measure=Measure.TIME, mark_m=5.0, resolution=0.1)
    assert (score_text(2.0, timed), score_text(None, timed)) == ("2.0\u00a0s", "-")
