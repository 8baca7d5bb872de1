"""The pictures of a sweep show what it found, over one range and over several."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.car import FLAT
from unspool.render.figures.sweep import limits_figure, sweep_figure, sweep_figures
from unspool.render.words.sweep import LIMIT_WORDS
from unspool.study.plan import Aim, Goal
from unspool.study.sweep import Sweep, Varied, axis_of, sweep
from unspool.study.sweep.types import LIMITS
from unspool.virtual.demo import scenario

TIERS = axis_of(Varied.TIER, [0.008, 0.014, 0.130], "run")
WEIGHTS = axis_of(Varied.WEIGHT, [0.4, 0.9])
DROPS = axis_of(Varied.DROP, [0.5, 0.501])


def swept(*axes: object, goal: Goal | None = None) -> Sweep:
    return sweep(scenario.sandpiper(), axes, FLAT, goal)  # type: ignore[arg-type]  # Axis


def test_every_limit_has_a_letter_of_its_own() -> None:
    assert set(LIMIT_WORDS) == set(LIMITS)
    assert len({letter for letter, _ in LIMIT_WORDS.values()}) == len(LIMITS)


def test_a_map_of_two_ranges() -> None:
    found = swept(TIERS, WEIGHTS)
    shown = sweep_figure(found)
    field, outline, star = shown.data
    assert np.asarray(field.x) == pytest.approx([8.0, 14.0, 130.0])
    assert np.asarray(field.y) == pytest.approx([400.0, 900.0])
    assert np.asarray(field.z).shape == (2, 3)
    assert np.all(np.isnan(np.asarray(field.z)[:, 2]))
    assert outline.contours.start == pytest.approx(0.99 * np.max(found.score))
    assert (star.x[0], star.y[0]) == pytest.approx((8.0, 900.0))


def test_a_third_range_is_at_its_best() -> None:
    found = swept(DROPS, TIERS, WEIGHTS)
    field = sweep_figure(found).data[0]
    assert np.nanmax(np.asarray(field.z)) == pytest.approx(np.max(found.score))
    assert [one.name for one in sweep_figures(found)] == ["sweep", "limits"]
    assert "drop" in sweep_figures(found)[0].caption


def test_one_range_is_a_line() -> None:
    found = swept(WEIGHTS)
    line, star = sweep_figure(found).data
    assert np.asarray(line.y) == pytest.approx(found.score)
    assert star.x[0] == pytest.approx(900.0)


def test_the_limits_have_their_letters() -> None:
    cells = limits_figure(swept(TIERS, WEIGHTS)).data[0]
    assert np.asarray(cells.text).tolist() == [["s", "w", "d"], ["w", "w", "d"]]
    names = [trace.name[0] for trace in limits_figure(swept(TIERS)).data[1:]]
    assert names == ["d", "w"]


def test_a_time_is_shown_as_a_time() -> None:
    found = swept(WEIGHTS, goal=Goal(Aim.FASTEST, 3.0))
    line = sweep_figure(found).data[0]
    assert np.asarray(line.y) == pytest.approx(-found.score)
    assert np.all(np.asarray(line.y) > 0.0)
