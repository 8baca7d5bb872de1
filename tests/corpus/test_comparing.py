"""The comparison of answers sees everything that moved."""

from __future__ import annotations

from math import nan, nextafter

import numpy as np
import pytest

from corpus.comparing import NOTHING, case_moved, summary
from corpus.plain import plain

OLD = {"a": 1.5, "b": [{"c": "x"}, 2], "d": plain(np.arange(9.0)), "e": plain(nan), "f": True}


def places(new: object, within: float = 0.0) -> list[str]:
    return [one.path for one in case_moved("kind/one", OLD, new, within)]


def test_the_same_answer_has_not_moved() -> None:
    assert places({**OLD}) == []


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"a": nextafter(1.5, 2.0)}, "a"),
        ({"b": [{"c": "y"}, 2]}, "b[0].c"),
        ({"b": [{"c": "x"}]}, "b[1]"),
        ({"b": [{"c": "x"}, 2, 3]}, "b[2]"),
        ({"e": 0.0}, "e"),
        ({"f": 1}, "f"),
        ({"g": 0}, "g"),
    ],
)
def test_what_moved_is_named(change: dict[str, object], place: str) -> None:
    assert places({**OLD, **change}) == [f"kind/one: {place}"]


def test_an_array_moves_in_its_digest_and_in_its_samples() -> None:
    values = np.arange(9.0)
    values[8] += 1e-12
    new = {**OLD, "d": plain(values)}
    assert places(new) == ["kind/one: d.sha256", "kind/one: d.samples[5]"]
    assert places(new, within=1e-9) == []
    between = np.arange(9.0)
    between[2] += 1.0  # not one of the samples
    assert places({**OLD, "d": plain(between)}) == ["kind/one: d.sha256"]


def test_a_difference_is_sized() -> None:
    (one,) = case_moved("kind/one", {"a": 1.0}, {"a": 1.25})
    assert one.share == 0.2
    (other,) = case_moved("kind/one", {"a": 1.0}, {})
    assert (other.new, other.share) == (NOTHING, None)
    first, second = summary([one, other], {"kind": 3, "else": 2})
    assert first.split(":")[1] == " 1 numbers (up to 2.00e-01), 1 digests and other values"
    assert second.endswith("0 moved")


def test_what_rounding_leaves_counts_only_to_the_last_digit() -> None:
    old, new = {"a": 1e-16}, {"a": -1e-16}
    assert len(case_moved("kind/one", old, new)) == 1
    assert case_moved("kind/one", old, new, within=1e-9) == []
    assert len(case_moved("kind/one", {"a": 1e-6}, {"a": 1.1e-6}, within=1e-9)) == 1


def test_counts_are_the_same_in_any_width() -> None:
    counts = np.array([1, -1], dtype=np.int8)
    assert plain(counts) == plain(counts.astype(np.int64))


def test_a_refusal_is_one_thing_that_moved() -> None:
    (one,) = case_moved("kind/one", OLD, {"refused": True})
    assert (one.old, one.new) == ("an answer", "refused: True")
    assert len(case_moved("kind/one", {"refused": True}, {"crashed": "KeyError: 1"})) == 1
    assert case_moved("kind/one", {"refused": True}, {"refused": True}) == []
