"""Equally likely sets of a car's losses before any run, from its file and from handbooks.

A loss in the car file is a builder's estimate, good to its standard deviation, or else to what is
usual. A loss that the file leaves out has the handbook's spread, by what turns in what.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from scipy.special import ndtri

from unspool.car import Car, measured
from unspool.car.handbook import (
    ANY_DRAG_AREA_M2,
    AT_REST_FACTOR,
    CONSTANT_DRAG_MEAN_N,
    USUAL_AT_REST,
    Part,
    Spread,
    loss_prior,
)
from unspool.intervals import HALF_IN_SDS
from unspool.latin_hypercube import latin_hypercube
from unspool.model.number import Floats

DRAWS = 512
# 90 % intervals of what a car file states without a standard deviation: our own judgement, from
# what builders measure. As factors, and as an addition in N and in shares:
STATED = Spread(1.0, 1.2)
STATED_CONSTANT_N, STATED_EFFICIENCY = 0.005, 0.03
STATED_LINEAR = 0.001  # N s/m
STATED_AREA_SHARE = 0.136  # one sd, of an area that nobody gave a coefficient for
LEAST_EFFICIENCY = 0.05
# The least resistance of a car in the interval: one without any never stops.
STOPS_N = 1e-4
# A number for each part that a loss can have, so that parts of one name share theirs.
_NAMES = (
    *("car", "bearing", "plain", "ball", "tyre", "hard", "rubber", "foam", "floor"),
    *("drive", "string", "at_rest", "constant", "linear", "air", "stated"),
)


@dataclass(frozen=True)
class LossDraws:
    """(n,) arrays in the units of Losses; drag_area_m2: C_d A."""

    rolling: Floats
    at_rest: Floats
    constant_n: Floats
    linear_n_s_m: Floats
    efficiency: Floats
    drag_area_m2: Floats


def loss_draws(car: Car, count: int = DRAWS) -> LossDraws:
    """`count` sets of losses, the same ones for the same car."""
    uniform = latin_hypercube(count, len(_NAMES), seed=3).clip(1e-9, 1.0 - 1e-9)
    normal = dict(zip(_NAMES, ndtri(uniform).T, strict=True))
    rolling, hold = _rolling(car, normal)
    constant = _constant(car, normal, dict(zip(_NAMES, uniform.T, strict=True)))
    constant = np.where(rolling == 0.0, np.maximum(constant, STOPS_N), constant)
    return LossDraws(
        rolling=rolling,
        at_rest=np.maximum(hold, rolling),
        constant_n=constant,
        linear_n_s_m=_linear(car, normal["linear"]),
        efficiency=_efficiency(car, normal),
        drag_area_m2=_drag_area(car, normal["air"]),
    )


def _drawn(spread: Spread, normal: Floats) -> Floats:
    return np.asarray(spread.usual * np.exp(log(spread.factor) / HALF_IN_SDS * normal))


def _about(value: float, sd: float, normal: Floats) -> Floats:
    """A value of the car file with its standard deviation, never below 0."""
    return np.maximum(value + sd * normal, 0.0)


def _sum(parts: tuple[Part, ...], normal: dict[str, Floats]) -> Floats:
    drawn = [part.amount * _drawn(part.spread, normal[part.name]) for part in parts]
    return np.asarray(np.sum(drawn, axis=0))


def _rolling(car: Car, normal: dict[str, Floats]) -> tuple[Floats, Floats]:
    """The rolling coefficient, and the coefficient that holds the car at rest."""
    losses, prior = car.losses, loss_prior(car)
    floor = _drawn(prior.floor, normal["floor"])
    above = _drawn(Spread(1.0, AT_REST_FACTOR), normal["at_rest"])
    rolling, hold = np.zeros_like(floor), np.zeros_like(floor)
    for part in prior.rolling:
        one = _sum((part,), normal) * (floor if part.rolls else 1.0)
        rolling, hold = rolling + one, hold + (1.0 + (part.at_rest - 1.0) * above) * one
    if "rolling_coefficient" not in losses.assumed:
        rolling = _stated(losses.rolling_coefficient, losses.rolling_coefficient_sd, normal)
        hold = (1.0 + (USUAL_AT_REST - 1.0) * above) * rolling
    if "break_away_coefficient" not in losses.assumed:
        hold = losses.break_away_coefficient * _drawn(STATED, normal["at_rest"])
        rolling = np.minimum(rolling, hold) if "rolling_coefficient" in losses.assumed else rolling
    return rolling, hold


def _stated(value: float, sd: float | None, normal: dict[str, Floats]) -> Floats:
    if sd is None:
        return value * _drawn(STATED, normal["stated"])
    return _about(value, sd, normal["stated"])


def _constant(car: Car, normal: dict[str, Floats], uniform: dict[str, Floats]) -> Floats:
    losses = car.losses
    if "constant_drag_n" in losses.assumed:
        return np.asarray(-CONSTANT_DRAG_MEAN_N * np.log(uniform["constant"]))
    sd = losses.constant_drag_sd_n
    sd = STATED_CONSTANT_N / HALF_IN_SDS if sd is None else sd
    return _about(losses.constant_drag_n, sd, normal["constant"])


def _linear(car: Car, normal: Floats) -> Floats:
    """0 if the file states none: a car that has it is taken to have been seen to."""
    value, sd = car.losses.linear_drag_n_s_per_m, car.losses.linear_drag_sd_n_s_per_m
    if not value:
        return np.zeros_like(normal)
    return _about(value, STATED_LINEAR / HALF_IN_SDS if sd is None else sd, normal)


def _efficiency(car: Car, normal: dict[str, Floats]) -> Floats:
    losses = car.losses
    if "drive_efficiency" in losses.assumed:
        lost = _sum(loss_prior(car).drive, normal)
        return np.maximum(1.0 - lost, LEAST_EFFICIENCY)
    sd = losses.drive_efficiency_sd
    sd = STATED_EFFICIENCY / HALF_IN_SDS if sd is None else sd
    drawn = losses.drive_efficiency + sd * normal["drive"]
    return np.asarray(np.clip(drawn, LEAST_EFFICIENCY, 1.0))


def _drag_area(car: Car, normal: Floats) -> Floats:
    share = measured(car).drag_area_share
    if car.frontal_area_m2 is None:
        return _drawn(ANY_DRAG_AREA_M2, normal)
    share = STATED_AREA_SHARE if share is None else share
    return _about(car.drag_area_m2, share * car.drag_area_m2, normal)
