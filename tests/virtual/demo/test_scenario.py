"""The demo's own car and track files are right, and say that they are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from unspool.virtual.demo import scenario


def test_cars_fit_their_string_to_the_drop() -> None:
    for car in (scenario.sandpiper(), scenario.dunlin()):
        assert 0.0 < car.drop_m - car.wound_string_m < 0.02


def test_corridor_rises_at_its_far_end() -> None:
    assert scenario.corridor().height_m[-1] > 0.0


@pytest.mark.parametrize("path", [scenario.SANDPIPER, scenario.DUNLIN, scenario.CORRIDOR])
def test_figures_are_said_to_be_invented(path: Path) -> None:
    assert "invented" in path.read_text(encoding="utf-8").split("[")[0]
