"""What a class of cases is: a name, how many a full run and a short one try, and one case."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Tried:
    """what: the case in words, to find it again. faults: what did not hold; empty when all did."""

    what: str
    faults: list[str]


# One case: all that is random about it comes from the generator; the folder is its own.
Case = Callable[[random.Random, Path], Tried]


@dataclass(frozen=True)
class HardClass:
    name: str
    about: str
    count: int
    short: int
    case: Case
