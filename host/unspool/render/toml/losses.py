"""Calibrated losses as lines of a car file."""

from __future__ import annotations

from unspool.car import Losses
from unspool.car.gravity import STANDARD_GRAVITY
from unspool.study.calibration.types import (
    CONSTANT,
    DRAG,
    EFFICIENCY,
    LINEAR,
    ROLLING,
    TERMS,
    Calibration,
    Term,
)

# Four figures are finer than any calibration.
FIGURES = 4
LEAST_LINEAR = 1e-4
FROM_RUNS = "from the runs"


def losses_toml(calibration: Calibration) -> str:
    """Lines that take the place of [losses] in the car's file, and of two keys in its [body].

    A constant drag that is neither known nor vouched for is left out, and its force counts as
    rolling. A number in a car file is the builder's word, and this one would be nobody's.
    """
    car = calibration.calibrated(calibration.car)
    losses = car.losses
    linear, drag, drive = (calibration.term(TERMS[i]) for i in (LINEAR, DRAG, EFFICIENCY))
    # a car file takes no area of 0
    area = max(1e4 * (car.frontal_area_m2 or 0.0), 0.01)
    return "\n".join(
        [
            f"# Losses of {_one_line(car.name)}, from {len(calibration.runs)} runs by unspool.",
            "",
            "# In [body], in place of these keys:",
            f"frontal_area_cm2 = {_figure(area)}{_remark(drag, 1e4 / (car.drag_coefficient or 1))}",
            f"drag_coefficient = {_figure(car.drag_coefficient or 1.0)}",
            "",
            "# In place of [losses]:",
            "[losses]",
            *_resistance(calibration, losses),
            f"linear_drag_n_s_per_m = {_figure(_linear(losses))}{_remark(linear)}",
            f"drive_efficiency = {_figure(losses.drive_efficiency)}{_remark(drive)}",
            f"tyre_friction = {_figure(losses.tyre_friction)}",
            "",
        ]
    )


def _linear(losses: Losses) -> float:
    """A car file takes none that is smaller than this, except 0."""
    linear = losses.linear_drag_n_s_per_m
    return linear if linear >= LEAST_LINEAR else 0.0


def _resistance(calibration: Calibration, losses: Losses) -> list[str]:
    rolling, constant = (calibration.term(TERMS[i]) for i in (ROLLING, CONSTANT))
    by = FROM_RUNS
    if constant.known:
        word = _remark(constant)
    elif constant.name in calibration.vouched:
        word = "  # from the car file; the runs do not show it"
        by = "from the runs, given the constant drag"
    else:
        return _together(calibration, losses)
    return [
        f"rolling_coefficient = {_figure(losses.rolling_coefficient)}{_remark(rolling, by=by)}",
        f"constant_drag_n = {_figure(losses.constant_drag_n)}{word}",
        f"break_away_coefficient = {_figure(losses.break_away_coefficient)}",
    ]


def _together(calibration: Calibration, losses: Losses) -> list[str]:
    """All resistance as rolling: the same runs at this mass, whatever its parts are."""
    both = calibration.resistance
    weight = both.mass_kg * STANDARD_GRAVITY
    low, value, high = (_figure(force / weight) for force in (both.low, both.value, both.high))
    hold = losses.break_away_coefficient + losses.constant_drag_n / weight
    return [
        f"# The runs do not show constant_drag_n: at {both.mass_kg:.2f} kg its share is in here.",
        f"rolling_coefficient = {value}  # with it 90 % from {low} to {high}",
        f"break_away_coefficient = {_figure(max(hold, float(value)))}",
    ]


def _remark(term: Term, factor: float = 1.0, by: str = FROM_RUNS) -> str:
    origin = by if term.known else "assumed, the runs do not show it"
    low, high = _figure(factor * term.low), _figure(factor * term.high)
    return f"  # {origin}: 90 % from {low} to {high}"


def _figure(value: float) -> str:
    return f"{value:.{FIGURES}g}"


def _one_line(name: str) -> str:
    return "".join(c if c.isprintable() else " " for c in name)
