"""The picture of what one change would gain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from unspool.render.figures.tornado import tornado_figure
from unspool.render.words.plan import (
    binding_words,
    change_name,
    part_name,
    stage_words,
    winding_words,
)
from unspool.study.plan import Aim, Goal, Plan, PlanStage, plan
from unspool.study.plan.parts import Part, PartKind
from unspool.study.plan.sensitivity import CarChange, CarProperty
from unspool.virtual.demo import scenario


@pytest.fixture(scope="module")
def planned() -> Plan:
    return plan(scenario.sandpiper(), scenario.corridor(), Goal(Aim.FASTEST, 5.0))


def test_bars_are_the_changes_the_longest_on_top(planned: Plan) -> None:
    changes = (
        CarChange(CarProperty.FALLING_WEIGHT, None, -0.2, 0.1),
        CarChange(CarProperty.TIER, "<b>", None, 0.05),
    )
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
        "Held back by the start margin of at least 1.2 and the drop of 560 mm, all of it used."
    )
    assert binding_words(replace(planned, binding=())) == "No limit holds it back."


def test_a_winding_in_words(planned: Plan) -> None:
    assert winding_words(planned.car.drum, (7.0, 0.25)) == "7 on start, 0.25 on run"
    assert winding_words(planned.car.drum, (0.0, 10.5)) == "10.5 on run"


def test_every_property_and_stage_has_a_name() -> None:
    tiers = {CarProperty.TIER: "run"}
    names = {change_name(CarChange(one, tiers.get(one), None, None)) for one in CarProperty}
    assert len(names) == len(CarProperty)
    assert len({stage_words(stage, 2, 3) for stage in PlanStage}) == len(PlanStage)
    assert stage_words(PlanStage.PARTS, 2, 3) == "trying parts, 2 of 3"


def test_parts_are_named_with_their_size_as_it_is_measured() -> None:
    parts = [
        Part(PartKind.WEIGHT, 0.64, mass_kg=0.64),
        Part(PartKind.DRIVEN_WHEELS, 0.1, mass_kg=0.0247, weighed=False),
        Part(PartKind.DRIVEN_WHEELS, 0.1, mass_kg=0.045),
        Part(PartKind.TIER, 0.014, "run"),
    ]
    assert [part_name(part) for part in parts] == [
        "weight 640 g",
        "driven wheels 100 mm, 24.7 g each by their size",
        "driven wheels 100 mm, 45 g each",
        "tier 'run' 14 mm",
    ]
