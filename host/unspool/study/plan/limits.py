"""What a winding must keep to."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from unspool.errors import Fault, InputError
from unspool.model.batch import BatchPrediction
from unspool.model.limits import LEAST_STRING_MARGIN

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Limits:
    """Least margins; each is what is there over what is needed, as in a prediction.

    A car that pulls a fifth more than what holds it still starts on a rougher floor or with a
    heavier tower (common practice). Tyres and balance are known to about a tenth. Raises InputError
    for a limit below 1.
    """

    start_margin: float = 1.2
    traction_margin: float = 1.1
    tipping_margin: float = 1.1
    string_margin: float = LEAST_STRING_MARGIN

    def __post_init__(self) -> None:
        faults = tuple(
            Fault(f"--{name.replace('_', '-')}", f"{value:g}", "a number of at least 1")
            for name in NAMES
            if not 1.0 <= (value := getattr(self, name)) < float("inf")
        )
        if faults:
            raise InputError("; ".join(map(str, faults)), faults)

    def broken(self, runs: BatchPrediction) -> dict[str, Flags]:
        """(n,) for each margin: whether it is below its limit. One that is not known is not."""
        return {name: getattr(runs, name) < getattr(self, name) for name in NAMES}


NAMES = tuple(field.name for field in fields(Limits))
# How a builder says it, and what helps.
WORDS = {
    "start_margin": ("start margin", "a larger first tier, a heavier weight or freer wheels"),
    "traction_margin": ("traction margin", "grippier tyres or a smaller first tier"),
    "tipping_margin": ("tipping margin", "a lower or longer car, or a smaller first tier"),
    "string_margin": (
        "string margin",
        "a stronger string, a lighter weight, or tiers that differ less",
    ),
    "drop": ("drop", "a taller tower"),
}
