"""The picture of what one change would gain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from unspool.render import tornado_figure
from unspool.render.words.plan import binding_words, winding_words
from unspool.study.plan import Aim, Goal, Plan, plan
from unspool.study.plan.sensitivity import Change
from unspool.virtual.demo import scenario


@pytest.fixture(scope="module")
def planned() -> Plan:
    return plan(scenario.sandpiper(), scenario.corridor(), Goal(Aim.FASTEST, 5.0))


def test_bars_are_the_changes_the_longest_on_top(planned: Plan) -> None:
    changes = (Change("falling weight", -0.2, 0.1), Change("tier '<b>'", None, 0.05))
    figure = tornado_figure(replace(planned, changes=changes))
    less, more = figure.data
    assert list(less.y) == ["falling weight", "tier '&lt;b&gt;'"]
    assert list(less.x) == [-0.2, None]
    assert list(more.x) == [0.1, 0.05]
    assert list(less.customdata) == ["\u22120.20\u00a0s", "not possible"]
    assert less.marker.pattern.shape != more.marker.pattern.shape
    assert figure.layout.yaxis.autorange == "reversed"
    assert figure.layout.xaxis.title.text == "sooner at 5.00\u00a0m (s)"


def test_a_plan_without_changes_draws(planned: Plan) -> None:
    assert "10 % less" in tornado_figure(replace(planned, changes=())).to_json()


def test_axis_says_what_the_goal_is(planned: Plan) -> None:
    for goal, title in ((Goal(), "farther (m)"), (Goal(Aim.REACH, 3.0), "moves the stop by (m)")):
        figure = tornado_figure(replace(planned, goal=goal))
        assert figure.layout.xaxis.title.text == title


def test_what_binds_in_words(planned: Plan) -> None:
    both = replace(planned, binding=("start_margin", "drop"))
    assert binding_words(both).replace("\u00a0", " ") == (
        "Held back by the start margin of at least 1.2 and by the drop of 560 mm, all of it used."
    )
    assert binding_words(replace(planned, binding=())) == "No limit holds it back."


def test_a_winding_in_words(planned: Plan) -> None:
    assert winding_words(planned.car.drum, (7.0, 0.25)) == "7 on start, 0.25 on run"
    assert winding_words(planned.car.drum, (0.0, 10.5)) == "10.5 on run"
