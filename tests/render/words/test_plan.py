"""The sentences of what a plan finds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from render.words.spoken import faults
from unspool.finding import Finding, note, warning
from unspool.render.words import plan
from unspool.render.words.findings import TEXTS, sentence
from unspool.render.words.reach import holds_words
from unspool.study.plan import Goal
from unspool.study.plan import PlanCode as Code
from unspool.study.plan import plan as plan_for
from unspool.virtual.demo.scenario import corridor, sandpiper

PLAN_FINDINGS = [
    warning(Code.MARK_MISSED, past_m=-3.25, mark_m=60.0),
    warning(Code.MARK_MISSED, past_m=0.5, mark_m=2.0),
    warning(Code.TRACTION_NOT_KNOWN),
    warning(Code.STRING_STRENGTH_NOT_KNOWN),
    note(Code.FINER_TURNS, asked_turns=0.5, turns=0.1),
    note(Code.TAPER_ASSUMED, tier="cone"),
]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(plan.TEXTS) == set(Code) == {one.code for one in PLAN_FINDINGS}
    assert plan.TEXTS.items() <= TEXTS.items()


@pytest.mark.parametrize("finding", PLAN_FINDINGS, ids=lambda finding: finding.code)
def test_every_finding_is_a_good_sentence(finding: Finding) -> None:
    shown = sentence(finding).replace("not known", "unknown")  # here it is the judgement itself
    assert faults(shown) == []


def test_a_missed_mark_says_on_which_side() -> None:
    short, past = (sentence(one) for one in PLAN_FINDINGS[:2])
    assert "3.25\u00a0m short of it" in short
    assert "0.50\u00a0m past it" in past


def test_what_holds_the_goal_back_is_named_also_if_nothing_does() -> None:
    free = plan_for(sandpiper(), corridor(), Goal())
    assert holds_words(replace(free, binding=())) == "nothing"
    both = holds_words(replace(free, binding=("start_margin", "traction_margin")))
    assert both == "weak pull at the start and wheel slip"
