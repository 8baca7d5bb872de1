"""What a version changed, as the form of cars and floors calls it."""

from __future__ import annotations

import pytest

from unspool.car.changes import Change
from unspool.render.words.car_fields import car_fields
from unspool.render.words.changes import change_words, place_words


@pytest.mark.parametrize(
    ("key", "place"),
    [
        ("name", "Name"),
        ("body.mass_g", "Car without the weight, Mass ready to run"),
        ("drum.start.turns", "Drum, start, Turns wound on it"),
        ("drum.a.b.turns", "Drum, a.b, Turns wound on it"),
        ("drum.1.name", "Drum, 1, Name of this tier"),
        ("body.colour", "body.colour"),
        ("version", "version"),
    ],
)
def test_a_key_is_called_as_its_field(key: str, place: str) -> None:
    assert place_words(key, car_fields()) == place


def test_values_have_their_units_and_choices_their_words() -> None:
    turns, driven = Change("drum.run.turns", 5.3, None), Change("wheels.rear.driven", None, True)
    assert change_words(turns, car_fields()).endswith(": nothing, before 5.3\u00a0turns")
    assert "yes, the drum is on this axle, before nothing" in change_words(driven, car_fields())
