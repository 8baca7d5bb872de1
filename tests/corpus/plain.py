"""Values as JSON holds them to the last digit, and arrays as a digest with a few samples."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from hashlib import sha256
from math import isfinite
from typing import Any

import numpy as np

SAMPLES = 6
DIGEST = "sha256"


def plain(value: Any) -> Any:
    """The value in dicts, lists, strings and numbers; what is not finite becomes a string."""
    if value is None or isinstance(value, bool | np.bool_):
        return None if value is None else bool(value)
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, np.ndarray):
        return _array(value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return float(value) if isfinite(value) else str(float(value))
    if isinstance(value, dict):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, str):
        return value
    if isinstance(value, Iterable):
        return [plain(one) for one in value]
    raise TypeError(f"{type(value).__name__} is no plain value")


def _array(values: np.ndarray) -> dict[str, Any]:
    """Its digest does not depend on whether counts are held in 8 or in 64 bits."""
    whole = values.dtype.kind in "iub"
    flat = np.ascontiguousarray(values, dtype=np.int64 if whole else np.float64)
    places = np.unique(np.linspace(0, max(flat.size - 1, 0), SAMPLES).astype(int))
    return {
        "shape": list(values.shape),
        DIGEST: sha256(flat.tobytes()).hexdigest(),
        "samples": plain(flat.ravel()[places].tolist() if flat.size else []),
    }


def taken(of: object, *names: str, **renamed: str) -> dict[str, Any]:
    """These attributes, by their own names or as `key="attribute"`, made plain."""
    same = {name: name for name in names}
    return {key: plain(getattr(of, name)) for key, name in (same | renamed).items()}
