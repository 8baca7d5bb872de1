"""What a loss is like: a slope, a small weight, a board in the wind."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.language import _
from unspool.render.words.units import quantity

# Of a square plate across the flow: Matthews, Aeronautical Engineer's Data Book, figure 5.13.
PLATE = 1.17


def pictured(name: str, value: float) -> str:
    """What a loss of that name and SI value is like."""
    return _LIKE[name](value)


def hung(force_n: float) -> str:
    """The mass whose weight is that force."""
    return quantity(1e3 * force_n / STANDARD_GRAVITY, "g", 1)


def _rolling(coefficient: float) -> str:
    # On a slope that rises by the coefficient, a car without friction needs the same force.
    return _("a slope of {slope}", slope=quantity(100.0 * coefficient, "%", 2))


def _constant(force_n: float) -> str:
    return _("{mass} that hang against it", mass=hung(force_n))


def _linear(per_speed: float) -> str:
    return _("at 1 m/s, {mass} that hang against it", mass=hung(per_speed))


def _area(drag_area_m2: float) -> str:
    side = quantity(1e3 * sqrt(drag_area_m2 / PLATE), "mm", 0)
    return _("a board of {side} by {side}, held into the wind", side=side)


def _drive(efficiency: float) -> str:
    return _("{share} of the pull lost", share=quantity(100.0 * (1.0 - efficiency), "%", 1))


_LIKE: dict[str, Callable[[float], str]] = {
    "rolling_coefficient": _rolling,
    "constant_drag_n": _constant,
    "linear_drag_n_s_per_m": _linear,
    "drag_area_m2": _area,
    "drive_efficiency": _drive,
}
