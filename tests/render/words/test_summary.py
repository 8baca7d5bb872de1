"""An attempt in plain words: its figures are the reading's, in each language."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sample_run import sample_reading
from unspool.language import LANGUAGES, in_language, localised
from unspool.render.words.summary import energy_sentences, summary_sentences


@pytest.mark.parametrize("code", LANGUAGES)
def test_the_figures_are_the_readings(code: str) -> None:
    reading = sample_reading()
    with in_language(code):
        text = " ".join(summary_sentences(reading))
        for figure in (reading.distance_m, reading.peak_speed_m_s, reading.prediction.distance_m):
            assert localised(f"{figure:.2f}") in text


@pytest.mark.parametrize(("factor", "said"), [(1.0, "same"), (0.8, "farther"), (1.3, "missing")])
def test_it_is_held_against_what_was_expected(factor: float, said: str) -> None:
    reading = sample_reading()
    expected = replace(reading.prediction, distance_m=factor * reading.distance_m)
    text = " ".join(summary_sentences(replace(reading, prediction=expected)))
    assert said in text


def test_energy_goes_by_size_and_nothing_small_is_said() -> None:
    ledger = replace(
        sample_reading().energy,
        stored=10.0, rolling=2.0, air=7.0, drive=0.9, catches=0.05, landing=0.0, left_in_weight=0.0,
        grade=0.0, unexplained=0.05,
    )  # fmt: skip
    first, *shares = energy_sentences(ledger)
    assert "10.00" in first
    assert [one.split("\u00a0")[0] for one in shares] == ["70", "20", "9"]


def test_no_energy_no_words() -> None:
    assert energy_sentences(replace(sample_reading().energy, stored=0.0)) == []
