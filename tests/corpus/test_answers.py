"""The small part of the corpus: no change of the code moves a number that nobody meant to move."""

from __future__ import annotations

import json

import pytest

from corpus.answers import answer
from corpus.cases import SMALL, cases
from corpus.comparing import case_moved
from corpus.small import read_small

# Another processor adds up in another order, and an iteration ends at another last digit.
WITHIN = 1e-9


@pytest.fixture(scope="module")
def frozen() -> dict[str, object]:
    return read_small()


@pytest.mark.parametrize("name", SMALL)
def test_the_answer_is_the_frozen_one(name: str, frozen: dict[str, object]) -> None:
    found = answer(cases()[name])
    assert "refused" not in found
    assert [str(one) for one in case_moved(name, frozen[name], found, WITHIN)] == []


def test_nothing_else_is_frozen(frozen: dict[str, object]) -> None:
    assert sorted(frozen) == sorted(SMALL)


def test_an_answer_survives_json() -> None:
    found = answer(cases()["reading/still/nudge"])
    assert case_moved("a", found, json.loads(json.dumps(found, allow_nan=False))) == []
