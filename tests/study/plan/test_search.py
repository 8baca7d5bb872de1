"""The pieces of the search: the coarse grid, turns worth winding, and the simplest winding."""

from __future__ import annotations

from dataclasses import replace
from math import comb, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plain import plain_car
from study.plan.brute import every_winding
from unspool.car import FLAT, Tier
from unspool.car.other_parts import with_weight
from unspool.study.plan import Aim, Goal, Limits
from unspool.study.plan.evaluate import PlanningTask
from unspool.study.plan.grid import coarse_grid, shares, windable
from unspool.study.plan.hand import HandWinding, wound_by_hand
from unspool.study.plan.search import Optimum, best_scores, search
from unspool.virtual.demo import scenario


def task_of(goal: Goal | None = None, **changes: object) -> PlanningTask:
    return PlanningTask(plain_car(**changes), FLAT, goal or Goal(), Limits())


def test_shares_of_two_tiers_in_quarters() -> None:
    rows = {tuple(row) for row in shares(2, 15).tolist()}
    quarters = [0.0, 0.25, 0.5, 0.75, 1.0]
    assert rows == {(a, b) for a in quarters for b in quarters if a + b <= 1.0}


@given(st.integers(1, 6), st.integers(10, 3000))
def test_shares_are_as_many_as_can_be_afforded(tiers: int, affordable: int) -> None:
    rows = shares(tiers, affordable)
    assert len(np.unique(rows, axis=0)) == len(rows)
    assert np.all(rows >= 0.0)
    assert rows.sum(axis=1).max() == pytest.approx(1.0)
    parts = round(1.0 / float(rows[rows > 0.0].min()))
    assert len(rows) == comb(parts + tiers, tiers) <= max(affordable, tiers + 1)
    assert comb(parts + 1 + tiers, tiers) > affordable


def test_a_drum_of_fifty_tiers_can_be_looked_at() -> None:
    assert 51 <= len(shares(50, 40_000)) <= 40_000


def test_less_than_the_least_is_not_worth_winding() -> None:
    turns = np.array([[0.0, 0.2, 0.26, 0.5, 0.51, 7.0]])
    assert windable(turns).tolist() == [[0.0, 0.0, 0.5, 0.5, 0.51, 7.0]]


def test_the_coarse_grid_holds_the_own_winding_and_the_drop() -> None:
    task = PlanningTask(scenario.dunlin(), scenario.corridor(), Goal(), Limits())
    turns = coarse_grid(task, 3000)
    assert [1.5, 3.0, 4.5] in turns.tolist()
    assert np.all(turns @ task.turn_m <= task.car.drop_m * (1.0 + 1e-9))
    assert np.all((turns == 0.0) | (turns >= 0.5))


def test_the_whole_drop_is_wound_on_a_single_tier() -> None:
    """0.5 m on a drum of 20 mm are 7.9577 turns."""
    found = search(task_of(), 2000)
    assert found is not None
    assert found.turns == pytest.approx([7.9577], abs=0.002)


def by_hand(task: PlanningTask) -> tuple[HandWinding, Optimum]:
    best = search(task, 20_000)
    assert best is not None
    return wound_by_hand(task, best), best


def test_whole_turns_if_they_are_as_good() -> None:
    """On a drop of exactly 8 turns no step is finer than needed."""
    hand, _ = by_hand(task_of(drop_m=8.0 * 2 * pi * 0.01 + 1e-6))
    assert hand.simplest.turns.tolist() == [8.0]
    assert hand.step == 0.25


@pytest.mark.parametrize("step", [0.25, 0.5, 1.0, 0.2])
def test_turns_are_multiples_of_the_step_that_is_asked_for(step: float) -> None:
    hand, _ = by_hand(replace(task_of(), turn_step=step))
    steps = hand.simplest.turns / step
    assert steps == pytest.approx(np.round(steps), abs=1e-6)
    assert 7.9577 - step < hand.simplest.turns[0] <= 7.9577


def test_a_gap_between_the_steps_is_wound_more_finely() -> None:
    """0.24 m pass under the drop, and half a turn takes 0.5 m: a fifth of the step has to do."""
    drum = (Tier("only", 0.04, 1.0, 0.04),)
    hand, _ = by_hand(replace(task_of(drum=drum, drop_m=0.24), turn_step=1.0))
    assert hand.step == pytest.approx(0.2)
    assert hand.simplest.turns == pytest.approx([0.8])


@pytest.mark.parametrize("goal", [Goal(), Goal(Aim.FASTEST, 5.0), Goal(Aim.REACH, 9.0)])
def test_no_simpler_winding_is_within_one_per_cent(goal: Goal) -> None:
    """Against every winding in quarter turns: none has fewer tiers, or as few in rounder turns."""
    task = PlanningTask(scenario.dunlin(), scenario.corridor(), goal, Limits())
    hand, best = by_hand(task)
    every = task.evaluate(every_winding(task.car))
    near = every.turns[every.worth >= goal.nearly(best.score)]
    assert hand.simplest.score >= goal.nearly(best.score)
    tiers = np.count_nonzero(hand.simplest.turns)
    assert tiers == np.count_nonzero(near, axis=1).min()
    as_few = near[np.count_nonzero(near, axis=1) == tiers]
    fractions = [float(np.max(row % 1.0 > 0.0) + np.max(row % 0.5 > 0.0)) for row in as_few]
    own = hand.simplest.turns
    assert float(np.max(own % 1.0 > 0.0) + np.max(own % 0.5 > 0.0)) == min(fractions)


def test_the_best_is_said_beside_the_simplest() -> None:
    hand, best = by_hand(PlanningTask(scenario.dunlin(), FLAT, Goal(), Limits()))
    assert hand.best.score == pytest.approx(best.score, rel=2e-3)
    assert hand.best.score >= hand.simplest.score
    hundredths = 100.0 * hand.best.turns
    assert hundredths == pytest.approx(np.round(hundredths), abs=1e-6)


def test_a_mark_is_reached_by_winding_less() -> None:
    """Energy in over energy a metre: m g L eta less the landing, over c M g."""
    found = search(task_of(Goal(Aim.REACH, 5.0)), 2000)
    assert found is not None
    assert -found.score < 0.02
    string = found.turns[0] * 2 * pi * 0.01
    share_landing = 0.5 * 0.5 * 0.2**2 / (0.5 * (1.0 + 0.5 * 0.2**2))
    driven = string * 0.5 * (1 - 0.2 * 0 - share_landing)
    rolled = string / 0.2
    kept = driven - 0.02 * 1.0 * rolled * (1 - share_landing)
    assert rolled + kept / 0.02 == pytest.approx(5.0, abs=0.05)


def test_no_winding_at_all() -> None:
    assert search(task_of(weight_mass_kg=0.01), 500) is None


def test_a_drum_of_many_tiers() -> None:
    radii = [0.012 - 0.0005 * k for k in range(12)]
    drum = tuple(Tier(f"t{k}", r, 0.5, r) for k, r in enumerate(radii))
    found = search(PlanningTask(plain_car(drum=drum), FLAT, Goal(), Limits()), 3000)
    assert found is not None
    string = found.turns @ np.array([2 * pi * r for r in radii])
    assert 0.49 <= string <= 0.5 + 1e-9


def test_cars_searched_side_by_side_do_as_well_as_each_alone() -> None:
    """One of them finds no winding: nothing pulls it."""
    cars = [with_weight(plain_car(), kg) for kg in (0.5, 1e-4, 0.8)]
    tasks = [PlanningTask(car, FLAT, Goal(), Limits()) for car in cars]
    near = np.array([[tier.turns for tier in cars[0].drum]])[0]
    together = best_scores(tasks, 300, near)
    assert together == [best_scores([task], 300, near)[0] for task in tasks]
    assert together[1] is None
    assert together[0] is not None
    assert together[2] is not None
