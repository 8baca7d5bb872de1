"""Each language has every message of the code, and no other."""

from __future__ import annotations

import json
import pickle
from datetime import date

import pytest

from catalogues.messages import OTHERS, catalogue, forms, hidden, in_code, messages, wrong_fields
from unspool.errors import InputError
from unspool.language import LANGUAGES, Phrase, _, in_language, localised, many
from unspool.render.words.attempts import attempt_name


@pytest.fixture(scope="module")
def english() -> set[object]:
    return {one.id for one in messages(in_code())}


@pytest.mark.parametrize("code", OTHERS)
def test_no_message_is_missing_or_unused(code: str, english: set[object]) -> None:
    assert {one.id for one in messages(catalogue(code))} == english


def test_each_message_is_written_where_it_is_found() -> None:
    assert hidden() == []


@pytest.mark.parametrize("code", OTHERS)
def test_each_is_translated_with_its_own_fields(code: str) -> None:
    assert [one.id for one in messages(catalogue(code)) if not all(forms(one))] == []
    assert list(wrong_fields(code)) == []


def test_the_language_is_that_of_the_reader() -> None:
    assert _("Right.") == "Right."
    with in_language("de"):
        assert _("Right.") == "Richtig."
        assert localised("3.5") == "3,5"
    assert localised("3.5") == "3.5"


def test_a_phrase_is_said_in_the_language_of_its_reader() -> None:
    fault = InputError(Phrase("{car}, {day}, no. {number}", car=Phrase("No car"), day=1, number=2))
    kept = pickle.loads(pickle.dumps(fault.sentence))
    assert json.dumps(kept) == '"No car, 1, no. 2"'
    with in_language("de"):
        assert str(fault) == f"{fault}" == f"{kept}" == "Kein Auto, 1, Nr.\u00a02"
    assert str(fault) == "No car, 1, no. 2"


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(KeyError), in_language("xx"):
        pass


@pytest.mark.parametrize("code", LANGUAGES)
def test_counts_take_the_form_of_the_language(code: str) -> None:
    one = "{tier}: {count} turn, radius {radius}"
    more = "{tier}: {count} turns, radius {radius}"
    with in_language(code):
        said = [many(one, more, n, tier="run", radius="8 mm") for n in (1, 2)]
    assert said[0] != said[1]
    assert "2" in said[1]


def test_an_attempt_is_named_in_the_language() -> None:
    day = date(2026, 11, 28)
    assert attempt_name("Sandpiper", day, 3, day) == "Sandpiper, 28 Nov, 3rd"
    with in_language("de"):
        assert attempt_name("Sandpiper", day, 3, day) == "Sandpiper, 28. Nov., Nr.\u00a03"
