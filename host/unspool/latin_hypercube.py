"""Points that fill a cube evenly along each side (McKay, Beckman and Conover 1979, Technometrics).

Each side is cut into as many strips as there are points, and each strip has one of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def latin_hypercube(count: int, sides: int, seed: int) -> NDArray[np.float64]:
    """(count, sides) numbers between 0 and 1, the same ones for the same seed."""
    rng = np.random.default_rng(seed)
    strip = np.column_stack([rng.permutation(count) for _ in range(sides)])
    return np.asarray((strip + rng.random((count, sides))) / count)
