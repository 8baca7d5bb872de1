"""The reach of each size: held against one prediction at a time."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from unspool.model import predict
from unspool.study.plan import Goal, Limits, Plan, plan
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.reach import Reach, Size, reaches
from unspool.study.plan.trial import tried
from unspool.virtual.demo.scenario import corridor, sandpiper


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(sandpiper(), corridor())


def _distance(made: Plan, one: Reach, value: float) -> float:
    trial = one.span.trial(value, made.car.string_diameter_m)
    return predict(tried(made.car, trial), made.track).distance_m


def _of(made: Plan, what: Size, tier: str | None = None) -> Reach:
    (found,) = [r for r in made.reaches if (r.span.what, r.span.tier) == (what, tier)]
    return found


def test_every_size_and_every_tier_has_a_reach(made: Plan) -> None:
    sizes = [(one.span.what, one.span.tier) for one in made.reaches]
    tiers = [(Size.TIER, "start"), (Size.TIER, "run"), (Size.TURNS, "run"), (Size.TURNS, "start")]
    assert sizes == [(Size.WEIGHT, None), (Size.DRIVEN_WHEELS, None), *tiers]


def test_values_rise_and_hold_the_planned_one(made: Plan) -> None:
    for one in made.reaches:
        values = one.span.values.tolist()
        assert one.span.value in values
        assert all(low < high for low, high in pairwise(values))


def test_the_best_weight_is_the_farthest_and_the_band_loses_a_hundredth(made: Plan) -> None:
    one = _of(made, Size.WEIGHT)
    assert one.best is not None
    assert one.low is not None
    most = _distance(made, one, one.best)
    assert most >= max(_distance(made, one, x) for x in one.span.values[::20].tolist())
    assert _distance(made, one, one.low) >= 0.99 * most
    assert _distance(made, one, one.low - one.span.step) < 0.99 * most


def test_the_drop_forbids_more_turns(made: Plan) -> None:
    one = _of(made, Size.TURNS, "run")
    assert (one.best, one.high, one.above) == (one.span.value, one.span.value, "drop")


def test_a_limit_forbids_what_it_should(made: Plan) -> None:
    """As heavy a weight as now needs the start margin that it gives: a larger wheel lacks it."""
    least = made.prediction.start_margin
    task = PlanningTask(made.car, made.track, Goal(), Limits(start_margin=0.999 * least))
    found = {one.span.what: one for one in reaches(task, made.car)}
    assert found[Size.DRIVEN_WHEELS].above == "start_margin"
    assert found[Size.WEIGHT].low == pytest.approx(found[Size.WEIGHT].high, rel=0.05)


def test_no_value_may_keep_a_limit(made: Plan) -> None:
    task = PlanningTask(made.car, made.track, Goal(), replace(Limits(), start_margin=1e6))
    assert all(one.best is None for one in reaches(task, made.car))
