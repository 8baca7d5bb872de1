"""The page of an attempt says where it came from, without words that only the store needs."""

from __future__ import annotations

import pytest

from unspool.app.pages.attempt import came_from


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("capture 12", "10:20, recorded by a board"),
        ("capture 3 of another store", "10:20, recorded by a board"),
        ("capture of Monday.csv", "10:20, from capture of Monday.csv"),
        ("run1.csv", "10:20, from run1.csv"),
    ],
)
def test_source(source: str, words: str) -> None:
    assert came_from("10:20", source) == words
