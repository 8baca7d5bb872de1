"""Each picture of an attempt has an explanation of its own."""

from __future__ import annotations

import pytest

from sample_run import sample_reading
from unspool.model.outcome import EventKind
from unspool.render.figures.gallery import reading_figures
from unspool.render.words.explained import explained


def test_every_picture_is_explained() -> None:
    reading = sample_reading()
    for figure in reading_figures(reading):
        said = explained(figure.name, reading)
        assert said
        assert all(asked.endswith("?") and answered.endswith(".") for asked, answered in said)


def test_the_release_is_said_at_its_place() -> None:
    reading = sample_reading()
    [released] = [one for one in reading.events if one.kind is EventKind.RELEASE]
    text = " ".join(answered for _asked, answered in explained("speed", reading))
    assert f"{released.distance_m:.1f}" in text


@pytest.mark.parametrize("name", ["unknown", ""])
def test_another_picture_is_not(name: str) -> None:
    assert explained(name, sample_reading()) == []
