"""Which law of resistance a set of coasts obeys, from speed at the start and distance alone.

A coast slows by a0 + a1 v + a2 v^2 (in m/s2), so that from speed v it reaches

    v^2 / (2 a0)                           with a0 alone,
    (x - ln(1 + x)) v^2 / (a0 x^2)         with a0 and a1, x = a1 v / a0,
    ln(1 + y) v^2 / (2 a0 y)               with a0 and a2, y = a2 v^2 / a0 (White and Korst 1972).

It reaches d0 more if every distance was measured from a place that is off by d0. Each law is fitted
to the distances by least squares. Repeats from one speed show the pure error, against which a law's
lack of fit is tested (an F test: Draper and Smith, Applied Regression Analysis, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

import numpy as np
from scipy.special import fdtrc

from unspool.errors import InputError
from unspool.finding import in_words
from unspool.fitting import Array, Fit, fit_columns, fit_curve
from unspool.model.closed_form import distance_to_speed

REJECTED_BELOW = 0.05  # common practice: the 5 % level
# Laws whose squares differ by less than this many residual variances explain the coasts alike.
ALIKE_VARIANCES = 2.0
# a1 v / a0 or a2 v^2 / a0 at the largest speed, where the search for a first guess looks.
_SHARES = np.r_[np.linspace(-0.95, -0.05, 19), np.geomspace(0.01, 1e4, 61)]
_SMALL = 1e-3  # below it the closed form loses digits; the series is good to 1e-12
_NOTHING = 1e-6  # share of the constant term that rounding may leave where there is no other


class LawFault(StrEnum):
    """Why a law cannot be fitted to a set of coasts."""

    TOO_FEW_COASTS = "too_few_coasts"
    FAST_COASTS_END_SOONER = "fast_coasts_end_sooner"
    TERMS_DO_NOT_SETTLE = "terms_do_not_settle"
    RESISTANCE_FALLS_WITH_SPEED = "resistance_falls_with_speed"
    NO_RESISTANCE_AT_REST = "no_resistance_at_rest"


class ImpossibleLawError(InputError):
    """A law that cannot be fitted to these coasts."""

    def __init__(self, law: CoastLaw, fault: LawFault) -> None:
        super().__init__(
            f"the law `{law}` cannot be fitted to these coasts: {in_words(fault)}; check each "
            "speed and distance, and that the floor is level, add coasts, or leave that law out"
        )
        self.law, self.fault = law, fault


class CoastLaw(StrEnum):
    CONSTANT = "constant"
    LINEAR = "constant and linear"
    QUADRATIC = "constant and quadratic"
    OFFSET = "constant with an offset"


@dataclass(frozen=True)
class Coast:
    """One coast on a level floor: speed at its start, and how far it went."""

    speed_m_s: float
    distance_m: float


@dataclass(frozen=True)
class CoastTerm:
    """unit: m/s2 for the constant, 1/s for the linear, 1/m for the quadratic term, m for an offset.
    error is the standard error.
    """

    name: str
    unit: str
    value: float
    error: float


@dataclass(frozen=True)
class LackOfFit:
    """F = what the law leaves beyond the repeats' own scatter, over that scatter, with its degrees
    of freedom; chance is how often a true law would leave as much.
    """

    f: float
    freedom: tuple[int, int]
    chance: float


@dataclass(frozen=True)
class CoastFit:
    """squares in m2 is the sum of the squared residuals; lack is None without repeats, or where
    the law has as many terms as there are speeds.
    """

    law: CoastLaw
    terms: tuple[CoastTerm, ...]
    squares: float
    freedom: int
    lack: LackOfFit | None

    @property
    def rejected(self) -> bool:
        return self.lack is not None and self.lack.chance < REJECTED_BELOW


def fit_law(coasts: Sequence[Coast], law: CoastLaw) -> CoastFit:
    """These coasts by one law.

    Raises InputError if they cannot be used, do not suffice, or would need a resistance that no
    car has. Such a resistance is nothing or negative at rest, or falls with speed beyond its error.
    """
    v, way = usable(coasts)
    if len(np.unique(v)) < len(_NAMES[law]) or len(v) <= len(_NAMES[law]):
        raise ImpossibleLawError(law, LawFault.TOO_FEW_COASTS)
    values, errors, fit = _FITS[law](v, way)
    terms = tuple(
        CoastTerm(name, unit, float(value), float(error))
        for (name, unit), value, error in zip(_NAMES[law], values, errors, strict=True)
    )
    return CoastFit(law, terms, fit.squares, fit.freedom, _lack(fit, v, way))


def usable(coasts: Sequence[Coast]) -> tuple[Array, Array]:
    """Speeds and distances (n,); raises InputError where one is no positive number."""
    for number, coast in enumerate(coasts, 1):
        for value, what in ((coast.speed_m_s, "speed"), (coast.distance_m, "distance")):
            if not (isfinite(value) and value > 0.0):
                raise InputError(
                    f"coast {number}: its {what} is {value:g}; give a number above 0, in SI units"
                )
    return (
        np.array([coast.speed_m_s for coast in coasts], dtype=float),
        np.array([coast.distance_m for coast in coasts], dtype=float),
    )


def _lack(fit: Fit, v: Array, way: Array) -> LackOfFit | None:
    """Against the scatter of distances from the very same speed."""
    speeds, group = np.unique(v, return_inverse=True)
    mean = np.bincount(group, way) / np.bincount(group)
    pure, repeats = float(np.sum((way - mean[group]) ** 2)), len(v) - len(speeds)
    beyond = len(speeds) - len(fit.terms)
    if repeats < 1 or beyond < 1 or pure == 0.0:
        return None
    f = (fit.squares - pure) / beyond / (pure / repeats)
    return LackOfFit(f, (beyond, repeats), float(fdtrc(beyond, repeats, max(f, 0.0))))


Solved = tuple[Array, Array, Fit]


def _constant(v: Array, way: Array) -> Solved:
    fit = fit_columns(0.5 * v[:, None] ** 2, way)
    return 1.0 / fit.terms, fit.errors / fit.terms**2, fit


def _offset(v: Array, way: Array) -> Solved:
    fit = fit_columns(np.column_stack([0.5 * v * v, np.ones_like(v)]), way)
    slope, shift = fit.terms
    if slope <= 0.0:
        raise ImpossibleLawError(CoastLaw.OFFSET, LawFault.FAST_COASTS_END_SOONER)
    error, shift_error = fit.errors
    return np.array([1.0 / slope, shift]), np.array([error / slope**2, shift_error]), fit


def _linear_way(a0: float, a1: float, v: Array) -> Array:
    x = a1 * v / a0
    safe = np.where(np.abs(x) > _SMALL, x, 1.0)
    near = 0.5 - x / 3.0 + x**2 / 4.0 - x**3 / 5.0
    return v * v / a0 * np.where(np.abs(x) > _SMALL, (safe - np.log1p(safe)) / safe**2, near)


def _quadratic_way(a0: float, a2: float, v: Array) -> Array:
    one = np.ones_like(v)
    return distance_to_speed(v * v, 0.0 * one, -a0 * one, a2 * one, one)


def _linear(v: Array, way: Array) -> Solved:
    return _two_terms(CoastLaw.LINEAR, v, way)


def _quadratic(v: Array, way: Array) -> Solved:
    return _two_terms(CoastLaw.QUADRATIC, v, way)


def _two_terms(law: CoastLaw, v: Array, way: Array) -> Solved:
    form, size = (
        (_linear_way, float(v.max()))
        if law is CoastLaw.LINEAR
        else (_quadratic_way, float(v.max()) ** 2)
    )

    def curve(terms: Array) -> Array:
        a0, grows = terms.tolist()
        if a0 <= 0.0 or grows * size <= -a0:  # such a car does not stop
            return np.full_like(way, 1e6 * way.max())
        return form(a0, grows, v)

    start = _first_guess(law, [form(1.0, share / size, v) for share in _SHARES], way)
    try:
        fit = fit_curve(curve, way, (start[0], start[1] / size))
    except ValueError:
        raise ImpossibleLawError(law, LawFault.TERMS_DO_NOT_SETTLE) from None
    if fit.terms[1] + 3.0 * fit.errors[1] < -_NOTHING * fit.terms[0] / size:
        raise ImpossibleLawError(law, LawFault.RESISTANCE_FALLS_WITH_SPEED)
    return fit.terms, fit.errors, fit


def _first_guess(law: CoastLaw, ways: Sequence[Array], way: Array) -> tuple[float, float]:
    """Constant term, and growing term at the largest speed: the best of a range of their ratios."""
    fits = [fit_columns(one[:, None], way) for one in ways]
    best = int(np.argmin([fit.squares for fit in fits]))
    if best == len(ways) - 1:
        raise ImpossibleLawError(law, LawFault.NO_RESISTANCE_AT_REST)
    if best == 0:
        raise ImpossibleLawError(law, LawFault.RESISTANCE_FALLS_WITH_SPEED)
    a0 = 1.0 / float(fits[best].terms[0])
    return a0, a0 * float(_SHARES[best])


_NAMES = {
    CoastLaw.CONSTANT: (("constant", "m/s2"),),
    CoastLaw.LINEAR: (("constant", "m/s2"), ("linear", "1/s")),
    CoastLaw.QUADRATIC: (("constant", "m/s2"), ("quadratic", "1/m")),
    CoastLaw.OFFSET: (("constant", "m/s2"), ("offset", "m")),
}
_FITS = {
    CoastLaw.CONSTANT: _constant,
    CoastLaw.LINEAR: _linear,
    CoastLaw.QUADRATIC: _quadratic,
    CoastLaw.OFFSET: _offset,
}
