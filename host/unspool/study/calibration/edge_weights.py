"""How much each edge of a run counts: which are sound, and how far off the sound ones are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.model.number import Flags
from unspool.reading.edges.slot_pattern import PatternProjection
from unspool.study.calibration.correlation_length import correlation_length
from unspool.study.calibration.joint_run import OWN
from unspool.study.calibration.run_model import RunModel
from unspool.study.calibration.types import Array

OUTLIER = 6.0  # residuals beyond so many sd do not count
LEAST_SOUND = 0.5  # a fit that fewer edges agree with cannot say which of them are off
LEAST_SLOTS = 1e-4  # no disc is cut finer than this share of a slot


@dataclass(frozen=True)
class EdgeWeights:
    """kept: (n,) the sound edges. noise: the variance of a weighted residual that counts once."""

    projection: PatternProjection
    kept: Flags
    noise: float

    @classmethod
    def of_all(cls, model: RunModel) -> EdgeWeights:
        kept = np.ones(len(model.edges), dtype=bool)
        return cls(model.projection(kept), kept, np.inf)

    def whitened(self, columns: Array) -> Array:
        """(rows, k) of unit variance, pattern and origin eliminated."""
        return np.asarray(self.projection.whitened(columns) / np.sqrt(self.noise))

    def rejudged(self, model: RunModel, off: Array) -> EdgeWeights:
        """Without the edges that are far off; off: (n,) residuals."""
        kept = _sound(model, off)
        return EdgeWeights(model.projection(kept), kept, self.noise)

    def measured(self, model: RunModel, off: Array, counts: float | None) -> EdgeWeights:
        """With the noise that these residuals show.

        counts: how often a misfit counts that all runs share. None takes every edge by itself, as a
        search far from its end must.
        """
        white = self.projection.whitened(off[:, None])[:, 0]
        r = white[: len(off)][self.kept]
        free = max(len(r) - len(OWN) - 1 - min(model.edges.pulses, len(r) // 2), 1)
        least = LEAST_SLOTS * float(np.sqrt(np.median(model.weight())))
        noise = max(float(white @ white) / free, least**2)
        if counts is not None:
            noise *= counts * correlation_length(r)
        return EdgeWeights(self.projection, self.kept, noise)


def _sound(model: RunModel, off: Array) -> Flags:
    """Which edges (n,) are no outliers."""
    everything = model.projection(np.ones(len(model.edges), dtype=bool))
    r = np.sqrt(everything.weight) * everything.misplaced(off)
    sound = np.abs(r) <= OUTLIER * max(_spread(r), 1e-12)
    return sound if sound.mean() >= LEAST_SOUND else np.ones_like(sound)


def _spread(r: Array) -> float:
    """A standard deviation that outliers do not move."""
    return 1.4826 * float(np.median(np.abs(r - np.median(r))))
