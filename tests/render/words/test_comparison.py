"""The sentences of a comparison."""

from __future__ import annotations

import pytest

from render.words.spoken import faults
from study.compare.compared import in_turns, ran
from unspool.finding import Finding, note, warning
from unspool.render.words import comparison
from unspool.render.words.comparison import (
    DIFFERENCE_TEXTS,
    QUANTITY_WORDS,
    caution_sentences,
    difference_sentence,
    mean_words,
    repeat_words,
)
from unspool.render.words.findings import TEXTS, sentence
from unspool.study.compare import (
    QUANTITIES,
    Comparison,
    ComparisonCode,
    Distinction,
    compare,
)

SHORT, LONG = (12.0, 14.0, 16.0), (22.0, 24.0, 26.0)
CAUTIONS = [
    warning(ComparisonCode.MIXED_GROUP, group="a", aspect="weight", labels=("600 g", "640 g")),
    warning(ComparisonCode.ONE_RUN, group="a"),
    warning(ComparisonCode.ODD_RUN, run="run 3", group="a", codes=("handled", "string_held")),
    warning(ComparisonCode.ONE_GROUP, by="winding"),
    note(ComparisonCode.MANY_GROUPS, groups=3, one_in=20),
]


def test_attempts_with_the_same_warnings_share_a_sentence() -> None:
    odd, other = (
        CAUTIONS[2],
        warning(ComparisonCode.ODD_RUN, run="run 4", group="a", codes=("handled", "string_held")),
    )
    said = caution_sentences([CAUTIONS[0], odd, CAUTIONS[1], other])
    assert len(said) == 3
    assert "run 3" in said[1]
    assert "run 4" in said[1]
    assert caution_sentences([odd]) == [sentence(odd)]


def groups(one: tuple[float, ...], other: tuple[float, ...]) -> Comparison:
    runs = [ran(f"a{i}", distance, note="a") for i, distance in enumerate(one)]
    return compare(runs + [ran(f"b{i}", far, note="b") for i, far in enumerate(other)], "note")


def all_kinds() -> list[Comparison]:
    """Differences that show, that may be chance, that nobody knows; in groups and in pairs."""
    return [
        groups(SHORT, LONG),
        groups(SHORT, (13.0, 15.0, 17.0)),
        groups(SHORT, SHORT),
        groups(SHORT, (20.0,)),
        groups((14.0, 14.0), (15.0, 15.0)),
        groups((14.0, 14.2), (15.0, 15.3, 15.9)),
        compare(in_turns((20.0, 18.0, 16.0), (20.9, 19.0, 17.1), "ABBAAB")),
        compare(in_turns((20.0, 18.0, 16.0), (20.1, 18.5, 15.1), "ABBAAB")),
    ]


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(comparison.TEXTS) == set(ComparisonCode)
    assert comparison.TEXTS.items() <= TEXTS.items()
    assert set(DIFFERENCE_TEXTS) == set(Distinction)
    assert set(QUANTITY_WORDS) == {quantity.key for quantity in QUANTITIES}


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.code)
def test_every_caution_is_a_good_sentence(caution: Finding) -> None:
    assert faults(sentence(caution)) == []


def test_the_cautions_here_have_the_values_of_real_ones() -> None:
    mixed = compare([ran("one", 12.0), ran("two", 13.0, weight_mass_kg=0.8)])
    three = compare([ran(str(i), 12.0 + i, note=f"n{i}") for i in range(3)], "note")
    for found in (*mixed.cautions, *three.cautions):
        (here,) = (one for one in CAUTIONS if one.code == found.code)
        assert (set(here.values), here.severity) == (set(found.values), found.severity)


def test_every_difference_is_a_good_sentence() -> None:
    differences = [d for made in all_kinds() for d in made.differences]
    assert {d.verdict for d in differences} == set(Distinction)
    assert {d.paired for d in differences} == {True, False}
    assert [fault for d in differences for fault in faults(difference_sentence(d))] == []


def test_a_difference_shows_its_size_interval_and_direction() -> None:
    farther, shorter = (
        difference_sentence(next(iter(made.of("distance_m")))).replace("\u00a0", " ")
        for made in (groups(SHORT, LONG), groups(LONG, SHORT))
    )
    assert "10.0 m farther" in farther
    assert "5.5 to 14.5 m" in farther
    assert "10.0 m shorter" in shorter
    assert "5.5 to 14.5 m" in shorter


def test_a_mean_shows_its_interval_and_two_figures_of_it() -> None:
    summary = groups(SHORT, LONG).groups[0].summary("distance_m")
    assert mean_words(summary) == "14.0\u00a0±\u00a05.0\u00a0m"
    assert repeat_words(summary) == "12\u00a0m"
