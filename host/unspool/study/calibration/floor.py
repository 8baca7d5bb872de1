"""The floor under a run: slopes that a track file gives, or that the fit has yet to find."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.car import Track
from unspool.study.calibration.types import Array


@dataclass(frozen=True)
class Floor:
    """knot_m: (s,) where the slope changes, rising along the run's way. given: (s + 1,) the slopes
    before, between and after them.

    unknown: how many slopes the fit finds: all those between the knots, or none. They are those
    along the floor; a run `back` meets them in reverse, with the other sign.
    """

    knot_m: Array
    given: Array
    unknown: int = 0
    back: bool = False

    @classmethod
    def of(cls, track: Track) -> Floor:
        """The floor of a track file."""
        x, h = np.array(track.distance_m), np.array(track.height_m)
        return cls(x, np.concatenate([[0.0], np.diff(h) / np.diff(x), [0.0]]))

    @classmethod
    def between(cls, knots: Array, start_m: float, back: bool) -> Floor:
        """An unknown floor, as the run meets it that is launched at start_m."""
        x = (start_m - knots)[::-1] if back else knots - start_m
        return cls(x, np.zeros(len(knots) + 1), len(knots) - 1, back)

    def slopes(self, z: Array) -> Array:
        """(v, s + 1) along the run's way; z is (v, unknown)."""
        if not self.unknown:
            return np.tile(self.given, (len(z), 1))
        inside = -z[:, ::-1] if self.back else z
        return np.pad(inside, ((0, 0), (1, 1)))


@dataclass(frozen=True)
class UnknownFloor:
    """A floor that the fit has yet to find: knots (k,) along it, and for each run where it was
    launched, and whether it ran back, towards 0.
    """

    knot_m: Array
    placed: tuple[tuple[float, bool], ...]

    def under(self, run: int) -> Floor:
        return Floor.between(self.knot_m, *self.placed[run])
