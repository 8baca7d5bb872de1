"""Calibrated losses as the lines of a car file that say them."""

from __future__ import annotations

from unspool.losses.types import TERMS, Calibration, Term

# Four figures are finer than any calibration tells.
FIGURES = 4


def losses_toml(calibration: Calibration) -> str:
    """Lines that take the place of [losses] in the car's file, and of two keys in its [body]."""
    car = calibration.calibrated(calibration.car)
    losses = car.losses
    terms = {term.name: term for term in calibration.terms}
    rolling, constant, drag, drive = (terms[name] for name in TERMS)
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
            f"rolling_coefficient = {_figure(losses.rolling_coefficient)}{_remark(rolling)}",
            f"constant_drag_n = {_figure(losses.constant_drag_n)}{_remark(constant)}",
            f"linear_drag_n_s_per_m = {_figure(losses.linear_drag_n_s_per_m)}",
            f"drive_efficiency = {_figure(losses.drive_efficiency)}{_remark(drive)}",
            f"break_away_coefficient = {_figure(losses.break_away_coefficient)}",
            f"tyre_friction = {_figure(losses.tyre_friction)}",
            "",
        ]
    )


def _remark(term: Term, factor: float = 1.0) -> str:
    told = "told by the runs" if term.known else "not told by the runs"
    low, high = _figure(factor * term.low), _figure(factor * term.high)
    return f"  # {told}: 90 % from {low} to {high}"


def _figure(value: float) -> str:
    return f"{value:.{FIGURES}g}"


def _one_line(name: str) -> str:
    return "".join(c if c.isprintable() else " " for c in name)
