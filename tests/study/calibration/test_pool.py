"""Runs pooled, and sets of losses drawn from the pool, against plain Gaussian arithmetic."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from study.calibration.hidden_runs import hidden
from unspool.study.calibration.data_only_sd import data_only_sd
from unspool.study.calibration.joint_fit import JointFit
from unspool.study.calibration.pool import Pooled, drawn
from unspool.study.calibration.pool import pool as pooled_fit
from unspool.study.calibration.posterior_samples import COUNT, draw
from unspool.study.calibration.priors import Prior, prior_of, vouched_prior
from unspool.study.calibration.run_summary import RunSummary
from unspool.study.calibration.shared_prior import SharedPrior
from unspool.virtual.truth import random_car

CAR = hidden(random_car(np.random.default_rng(2)))
GRAVITY = 9.80665
SD = np.array([2e-5, 2e-5, 2e-5, 1e-4])
CENTRE = np.array([0.0136, 0.0, 0.0, 0.015, 0.9])


def summary(force: list[float], total_kg: float = 1.5) -> RunSummary:
    """A run that shows resistance, drag area and efficiency, and no linear drag."""
    design = np.zeros((4, 5))
    design[0, :2] = total_kg * GRAVITY, 1.0
    design[[1, 2, 3], [2, 3, 4]] = 1.0
    return RunSummary(
        at=np.insert(force, 1, 0.0),
        root=np.diag(1.0 / SD),
        rest=np.zeros(4),
        design=design,
        expected=design @ CENTRE,
        rms_slots=0.01,
        turns=np.zeros(0),
        turns_sd=np.zeros(0),
        shows=True,
    )


def shared(prior: Prior) -> SharedPrior:
    return SharedPrior.of(prior, 0, np.zeros(0)).with_clock()


def pool(runs: list[RunSummary], prior: Prior) -> Pooled:
    return pooled_fit(JointFit(CENTRE, tuple(runs)), shared(prior))


def three(spread: float = 0.0) -> list[RunSummary]:
    return [summary([0.2 * (1.0 + spread * z), 0.015, 0.9]) for z in (-1.0, 0.0, 1.0)]


def test_the_sum_is_told_and_its_parts_are_not() -> None:
    pooled = pool(three(), prior_of(CAR))
    draws = draw(pooled, shared(prior_of(CAR))).terms
    both = 1.5 * GRAVITY * draws[:, 0] + draws[:, 1]
    assert np.median(both) == pytest.approx(0.2, rel=3e-3)
    assert np.std(both) < 0.01 * 0.2
    alone = data_only_sd(pooled, shared(prior_of(CAR)))
    assert alone[1] > 1.0, "in N: nothing at all"
    assert alone[0] * 1.5 * GRAVITY == pytest.approx(alone[1], rel=0.3)
    assert alone[3] < 0.01 * 0.015
    assert alone[4] < 0.01


def test_two_masses_tell_the_parts() -> None:
    pair = [summary([0.01 * mass * GRAVITY + 0.012, 0.015, 0.9], mass) for mass in (1.0, 2.0) * 2]
    pooled = pool(pair, prior_of(CAR))
    assert pooled.centre[:2] == pytest.approx([0.01, 0.012], rel=0.02)
    assert data_only_sd(pooled, shared(prior_of(CAR)))[0] < 0.02 * 0.01


def test_a_vouched_constant_drag_tells_the_rolling_and_not_itself() -> None:
    stated = replace(CAR, losses=replace(CAR.losses, constant_drag_n=0.01))
    prior = vouched_prior(stated)
    alone = data_only_sd(pool(three(), prior), shared(prior))
    # 0.0015 N of it, over the car's weight of 14.7 N
    assert alone[0] == pytest.approx(0.0015 / (1.5 * GRAVITY), rel=0.2)
    assert alone[1] > 0.1


def test_known_scatter_gives_the_textbook_mean() -> None:
    """With the scatter far above each run's own error, the mean of equals has sd s / sqrt(n)."""
    force = [0.19, 0.20, 0.21, 0.20, 0.195, 0.205]
    runs = [summary([value, 0.015, 0.9]) for value in force]
    pooled = pool(runs, prior_of(CAR))
    both = draw(pooled, shared(prior_of(CAR))).terms @ np.array([1.5 * GRAVITY, 1.0, 0.0, 0.0, 0.0])
    plain = np.std(force, ddof=1) / np.sqrt(len(force))
    assert np.mean(both) == pytest.approx(np.mean(force), rel=0.01)
    assert 0.7 * plain < np.std(both) < 2.0 * plain


def test_an_odd_run_is_found_and_hardly_counts() -> None:
    runs = [*three(0.002), summary([0.26, 0.015, 0.9])]
    pooled = pool(runs, prior_of(CAR))
    assert pooled.odd[3] > 0.9
    assert np.all(pooled.odd[:3] < 0.1)
    both = draw(pooled, shared(prior_of(CAR))).terms @ np.array([1.5 * GRAVITY, 1.0, 0.0, 0.0, 0.0])
    assert np.median(both) == pytest.approx(0.2, rel=0.01)


@settings(max_examples=5, deadline=None)
@given(st.permutations(range(4)))
def test_order_of_runs_changes_nothing(order: list[int]) -> None:
    runs = [*three(0.01), summary([0.23, 0.014, 0.8], 1.8)]
    one, other = pool(runs, prior_of(CAR)), pool([runs[i] for i in order], prior_of(CAR))
    assert other.centre == pytest.approx(one.centre, rel=1e-6, abs=1e-9)
    assert other.odd == pytest.approx(one.odd[order], abs=1e-6)


def gaussian(mean: list[float], sd: list[float]) -> Pooled:
    order = drawn(6)
    return Pooled(
        weight=np.ones(1),
        mean=np.r_[mean, 0.0][None],
        factor=np.diag(np.r_[sd, 0.002][order])[None],
        scatter=np.full((1, 3), 0.01),
        information=np.zeros((1, 6, 6)),
        odd=np.zeros(1),
    )


def test_draws_follow_their_gaussian_within_the_bounds() -> None:
    prior = prior_of(CAR)
    # Constant drag centred on its bound: half a normal, of mean sd x sqrt(2 / pi).
    mean, sd = [0.012, 0.0, 0.03, 0.015, 0.9], [1e-3, 0.004, 1e-3, 1e-3, 0.01]
    draws = draw(gaussian(mean, sd), shared(prior)).terms
    assert draws.shape == (COUNT, 5)
    assert np.mean(draws, axis=0) == pytest.approx(
        [0.012, 0.004 * np.sqrt(2.0 / np.pi), 0.03, 0.015, 0.9], rel=5e-3
    )
    assert np.std(draws[:, 0]) == pytest.approx(1e-3, rel=0.03)
    assert np.all(draws >= prior.lower)
    assert np.all(draws <= prior.upper)


def test_draws_are_the_same_every_time() -> None:
    pooled, prior = pool(three(), prior_of(CAR)), prior_of(CAR)
    assert np.array_equal(draw(pooled, shared(prior)).terms, draw(pooled, shared(prior)).terms)


def test_the_builders_word_has_its_own_width() -> None:
    def sd(constant_n: float) -> float:
        car = replace(CAR, losses=replace(CAR.losses, constant_drag_n=constant_n))
        prior: Prior = vouched_prior(car)
        assert prior.mean[1] == constant_n
        assert list(prior.vouched) == [False, True, False, False, False]
        return float(prior.sd[1])

    assert sd(0.0) == 0.0015
    assert sd(0.1) == pytest.approx(0.015)
