"""The judge's page says who noted something in words of its own, and the log keeps the rest."""

from __future__ import annotations

import pytest

from unspool.render.words.people import person_words


@pytest.mark.parametrize(
    ("who", "words"),
    [
        ("Ana (with the PIN of judge Ana, from 192.0.2.7)", "Ana"),
        ("Ana (with the PIN of judge Ana (Lane 2), from fd00::2)", "Ana (Lane 2)"),
        ("with the PIN of owner Eva, from 192.0.2.7", "Eva"),
        ("Ana (with the PIN of the judge, from 192.0.2.7)", "Ana, with a PIN of the sharing"),
        ("with the PIN of a station, from 192.0.2.7", "somebody with a PIN of the sharing"),
        ("Ana (root)", "Ana (root)"),
        ("", ""),
    ],
)
def test_person(who: str, words: str) -> None:
    assert person_words(who) == words
