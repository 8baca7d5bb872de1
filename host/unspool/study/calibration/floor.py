"""The floor under a run: slopes that a track file gives, or that the fit has yet to find.

An unknown slope is a cubic spline of the place. A floor bends, and one that is straight between
knots leaves every run with a misfit that no loss can take but the drag.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.car import Track
from unspool.study.calibration.types import Array

_DEGREE = 3
PIECES = 2  # straight ones from knot to knot, on which the model rolls


@dataclass(frozen=True)
class Floor:
    """knot_m: (s,) where the slope changes, rising along the run's way. given: (s + 1,) the slopes
    before, between and after them.

    shape: (s - 1, u) the slopes between the knots as the fit's unknowns make them; u is 0 if the
    floor is given.
    """

    knot_m: Array
    given: Array
    shape: Array

    @classmethod
    def of(cls, track: Track) -> Floor:
        """The floor of a track file."""
        x, h = np.array(track.distance_m), np.array(track.height_m)
        slopes = np.diff(h) / np.diff(x)
        return cls(x, np.concatenate([[0.0], slopes, [0.0]]), np.zeros((len(slopes), 0)))

    @property
    def unknown(self) -> int:
        return int(self.shape.shape[1])

    def slopes(self, z: Array) -> Array:
        """(v, s + 1) along the run's way; z is (v, unknown)."""
        if not self.unknown:
            return np.tile(self.given, (len(z), 1))
        return np.pad(z @ self.shape.T, ((0, 0), (1, 1)))


@dataclass(frozen=True)
class UnknownFloor:
    """A floor that the fit has yet to find.

    - edge_m: (p + 1,) between straight pieces along it.
    - shape: (p, u) the pieces' slopes, as a spline's coefficients make them.
    - placed: for each run where it was launched, and whether it ran back, towards 0.
    """

    edge_m: Array
    shape: Array
    placed: tuple[tuple[float, bool], ...]

    @classmethod
    def over(
        cls, first_m: float, last_m: float, knots: int, placed: tuple[tuple[float, bool], ...]
    ) -> UnknownFloor:
        """From first to last, with a knot of the spline every knots-th part of the way."""
        from scipy.interpolate import BSpline  # slow to load, and many commands do without it

        step = (last_m - first_m) / knots
        at = first_m + step * np.arange(-_DEGREE, knots + _DEGREE + 1)
        way = BSpline(at, np.eye(knots + _DEGREE), _DEGREE).antiderivative()
        edges = np.linspace(first_m, last_m, PIECES * knots + 1)
        return cls(edges, np.diff(way(edges), axis=0) * PIECES / step, placed)

    @property
    def mean(self) -> Array:
        """(u,) the mean slope from first to last, as the coefficients make it."""
        return np.asarray(self.shape.mean(axis=0))

    def heights(self, z: Array) -> Array:
        """(v, p + 1) over the first edge; z is (v, u)."""
        risen = np.cumsum((z @ self.shape.T) * np.diff(self.edge_m), axis=1)
        return np.pad(risen, ((0, 0), (1, 0)))

    def under(self, run: int) -> Floor:
        """As this run meets it: a run back meets its slopes in reverse, with the other sign."""
        start_m, back = self.placed[run]
        x, shape = self.edge_m - start_m, self.shape
        if back:
            x, shape = -x[::-1], -shape[::-1]
        return Floor(x, np.zeros(len(x) + 1), shape)
