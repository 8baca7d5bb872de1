"""The sentences of what a reading finds."""

from __future__ import annotations

import pytest

from reading.events.odd_runs import found_in_odd_runs
from render.words.spoken import all_faults, faults
from unspool.finding import Finding, note, warning
from unspool.language import ENGLISH, LANGUAGES, in_language
from unspool.reading.edges.ending import Ending
from unspool.reading.events.codes import ReadingCode as Code
from unspool.render.words import reading
from unspool.render.words.findings import TEXTS, sentence, warnings_first

# What a code may say besides what the seeded runs show.
VARIANTS = [
    warning(Code.DID_NOT_START, edges=1, backwards=False, starts=False, start_margin=0.7),
    warning(Code.DID_NOT_START, edges=1, backwards=False, starts=True, start_margin=2.0),
    warning(Code.DID_NOT_START, edges=800, backwards=True, starts=True, start_margin=2.0),
    warning(Code.SLIP_AT_START, begin_m=0.0, end_m=0.4),
    warning(Code.HANDLED, begin_m=0.0, end_m=0.4),
    warning(Code.EDGES_LOST_BEFORE, edges=1),
    warning(Code.EDGES_LOST_BEFORE, edges=271),
    *(
        warning(Code.CUT_SHORT, speed_m_s=1.2, ending=str(ending))
        for ending in Ending
        if ending is not Ending.STOOD_STILL
    ),
    note(Code.HANDLED, edges=1),
    note(Code.MISSING_EDGES, missing=1, uncertain=0),
    warning(Code.MISSING_EDGES, missing=12, uncertain=1),
    warning(Code.MISSING_EDGES, run="push 2", missing=12, uncertain=3),
    note(Code.COARSE_TIMES, tick_s=0.01, place_sd_m=0.004, hides=False),
    warning(Code.COARSE_TIMES, tick_s=0.1, place_sd_m=0.02, hides=True),
    note(Code.CHATTER, run="push 2", edges=1),
    warning(Code.SLOT_COUNT_DOUBTFUL, claimed_edges=40, likelier_edges=20, factor=0.5),
    warning(Code.DIRECTION_NOT_KNOWN, turns=0, due_m=12.0),
    note(Code.DIRECTION_NOT_KNOWN, turns=0, due_m=None),
    note(Code.TIER_CHANGE_NOT_SEEN, from_tier="start", to_tier="run", expected_m=0.4, edges=1),
    warning(Code.DIRECTION_NOT_KNOWN, turns=2, furthest_m=12.0, rest_low_m=8.0, rest_high_m=9.0),
    warning(Code.DIRECTION_NOT_KNOWN, turns=9, furthest_m=12.0, rest_low_m=8.0, rest_high_m=8.0),
    *(
        note(code, at_m=3.0, turns_doubted=doubted, **values)
        for doubted in (False, True)
        for code, values in (
            (Code.EARLY_RELEASE, {"early_m": None, "left_j": 0.3, "stored_j": 3.5}),
            (Code.WEIGHT_LANDED_FIRST, {"slack_m": 0.03}),
        )
    ),
    warning(Code.STRING_HELD, at_m=3.4, lost_m_s=None, before_m_s=None, slip_share=None),
    warning(Code.STRING_HELD, at_m=3.4, lost_m_s=0.06, before_m_s=2.0, slip_share=0.03),
    warning(Code.SLIPPING, share=0.03, over_m=3.4, turns=None),
    warning(
        Code.SWAYING,
        begin_m=0.1,
        end_m=3.0,
        amplitude_m_s2=0.2,
        of_weight=True,
        first_hz=1.6,
        last_hz=0.9,
    ),
    warning(Code.ENERGY_UNEXPLAINED, unexplained_j=-0.6, beyond_j=-0.4, stored_j=3.5),
]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(reading.TEXTS) == set(Code)
    assert reading.TEXTS.items() <= TEXTS.items()


@pytest.mark.parametrize("code", [code for code in LANGUAGES if code != ENGLISH])
def test_each_finding_is_said_in_the_language_of_the_reader(code: str) -> None:
    for finding in VARIANTS:
        english = sentence(finding)
        with in_language(code):
            assert sentence(finding) != english


def test_the_rate_of_a_swaying_tower_has_a_unit() -> None:
    swaying = next(one for one in VARIANTS if one.code == Code.SWAYING)
    tower = warning(Code.SWAYING, **{**swaying.values, "of_weight": False})
    assert "1.6\u00a0Hz" in sentence(tower)


def test_seeded_runs_show_every_finding_in_good_sentences() -> None:
    found = found_in_odd_runs()
    assert {finding.code for finding in found} == set(Code)
    assert all_faults(found) == []


@pytest.mark.parametrize("finding", VARIANTS, ids=lambda finding: finding.code)
def test_every_variant_is_a_good_sentence(finding: Finding) -> None:
    assert faults(sentence(finding)) == []


def test_variants_say_different_things() -> None:
    texts = [sentence(finding) for finding in VARIANTS]
    assert len(set(texts)) == len(texts)


def test_a_finding_on_one_of_several_runs_names_it() -> None:
    assert sentence(note(Code.CHATTER, run="push 2", edges=1)).startswith("push 2: ")


def test_warnings_come_first_and_keep_their_order() -> None:
    found = [note("a"), warning("b"), note("c"), warning("d")]
    assert [one.code for one in warnings_first(found)] == ["b", "d", "a", "c"]


@pytest.mark.parametrize(
    "text",
    [
        "It went {far_m} m.",
        "It went None m.",
        "It went 1.2345678 m.",
        "It is not known.",
        "It is  wide.",
        "It has no end",
        "The runs tell the sum.",
        "word " * 31 + "end.",
    ],
)
def test_a_bad_sentence_is_noticed(text: str) -> None:
    assert len(faults(text)) == 1
