"""Number: what a formula takes when it serves one run (a float) and many runs (an array) alike."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

# All arguments of a call are of one kind, and so is what it returns.
Number = TypeVar("Number", float, NDArray[np.float64])
