"""Places: standard competition ranking, in which those who tie share the better place (1224)."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import Any, TypeVar

Who = TypeVar("Who", bound=Hashable)


def ranked(keys: Mapping[Who, Any]) -> dict[Who, int]:
    """The place of each, from 1. keys: can be compared; the least is the best.

    One more than the number of those that are better is the place.
    """
    values = sorted(keys.values())
    first: dict[Any, int] = {}
    for place, value in enumerate(values, 1):
        first.setdefault(value, place)
    return {who: first[key] for who, key in keys.items()}
