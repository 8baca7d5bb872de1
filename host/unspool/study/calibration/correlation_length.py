"""How many neighbouring residuals count as one."""

from __future__ import annotations

import numpy as np

from unspool.study.calibration.types import Array


def correlation_length(r: Array) -> float:
    """How many residuals count as one: 1 + 2 x the sum of their correlations, up to where these
    are lost in noise (Geyer's initial sequence, Statistical Science 7 (1992) 473).
    """
    n = len(r)
    if n < 4 or not np.any(r):
        return 1.0
    r = r - r.mean()
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(r, size)
    correlation = np.fft.irfft(spectrum * np.conj(spectrum), size)[: n // 2]
    correlation = correlation / correlation[0]
    pairs = correlation[: len(correlation) // 2 * 2].reshape(-1, 2).sum(axis=1)
    negative = np.flatnonzero(pairs <= 0.0)
    end = int(negative[0]) if len(negative) else len(pairs)
    return float(np.clip(2.0 * pairs[:end].sum() - 1.0, 1.0, n / 4.0))
