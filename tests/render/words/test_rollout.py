"""The sentences of a roll-out."""

from __future__ import annotations

from typing import Any

import pytest

from render.words.spoken import faults
from unspool.finding import Finding, note, warning
from unspool.render.words import reading, rollout
from unspool.render.words.findings import TEXTS, sentence
from unspool.study.rollout import RollOutCode as Code


def verdict(code: Code, circumference_m: float = 0.385, **values: Any) -> Finding:
    known = {
        "circumference_m": circumference_m,
        "nominal_m": 0.3882,
        "edges": 20,
        "fitting_edges": 20 * 0.3882 / circumference_m,
        "believed_edges": 20,
        "rival_edges": None,
        "pattern_edges": None,
        "pattern_agrees": None,
    }
    return warning(code, **(known | values))


def rested(has_direction: bool, more_rests: int) -> Finding:
    return note(
        Code.RESTED,
        run="push 1",
        rest_s=1.5,
        edges_before=20,
        edges_after=1,
        more_rests=more_rests,
        has_direction=has_direction,
    )


VERDICTS = [
    verdict(Code.AGREES),
    verdict(Code.WHEEL_DIFFERS),
    verdict(Code.WHEEL_DIFFERS, 0.391),
    verdict(Code.MISCOUNTED, 0.776, believed_edges=40, pattern_edges=40, pattern_agrees=True),
    verdict(Code.MISCOUNTED, 0.194, believed_edges=10, pattern_edges=20, pattern_agrees=False),
    verdict(Code.MISCOUNTED, 0.369, believed_edges=19),
    verdict(Code.MISCOUNTED, 0.407, believed_edges=21),
    verdict(Code.UNCLEAR, 0.375, believed_edges=None, rival_edges=19),
    verdict(Code.UNCLEAR, 0.375, believed_edges=None),
    verdict(Code.UNEXPLAINED, 0.5, believed_edges=None),
    verdict(Code.UNEXPLAINED, 0.5, believed_edges=None, pattern_edges=26, pattern_agrees=False),
    verdict(Code.UNEXPLAINED, 0.6, believed_edges=None, pattern_edges=20, pattern_agrees=True),
    warning(Code.PUSHES_DISAGREE, smallest_m=0.38, largest_m=0.4),
]
OF_PUSHES = [
    warning(Code.ODD_PUSH, run="push 1", circumference_m=0.41, others_m=0.39),
    warning(Code.ODD_PUSH, run="push 1", circumference_m=0.37, others_m=0.39),
    note(Code.MISSING_EDGES, run="push 1", missing=2, uncertain=0),
    note(Code.CHATTER, run="push 1", edges=2),
    warning(Code.SLOT_LOST_EACH_TURN, run="push 1", closed_edges=18),
    note(Code.BACKWARDS, run="push 1"),
    note(Code.ROLLED_TO_MARK, run="push 1", edges=12, before=True),
    note(Code.ROLLED_TO_MARK, run="push 1", edges=12, before=False),
    note(Code.SETTLED, run="push 1", edges=3),
    *(rested(has_direction, more) for has_direction in (True, False) for more in (0, 1, 3)),
    note(Code.WIDE, half_share=0.02),
]
FINDINGS = [*VERDICTS, *OF_PUSHES]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    shared = {Code.MISSING_EDGES, Code.CHATTER}
    assert set(rollout.TEXTS) == set(Code) - shared
    assert shared <= set(reading.TEXTS)
    assert rollout.TEXTS.items() <= TEXTS.items()
    assert {finding.code for finding in FINDINGS} == set(Code)


@pytest.mark.parametrize("finding", FINDINGS, ids=lambda finding: finding.code)
def test_every_finding_is_a_good_sentence(finding: Finding) -> None:
    assert faults(sentence(finding)) == []


def test_findings_say_different_things() -> None:
    assert len({sentence(finding) for finding in FINDINGS}) == len(FINDINGS)


@pytest.mark.parametrize("finding", OF_PUSHES[:-1], ids=lambda finding: finding.code)
def test_a_finding_of_a_push_names_it(finding: Finding) -> None:
    assert sentence(finding).startswith("push 1")
