"""What a winding must keep to."""

from __future__ import annotations

from dataclasses import dataclass, fields

from unspool.errors import Fault, InputError
from unspool.language import _, later
from unspool.model.batch import BatchPrediction
from unspool.model.limits import LEAST_STRING_MARGIN
from unspool.model.number import Flags

# A limit of the car itself, beside the margins: the string cannot be longer.
DROP = "drop"
# A tier as large as its wheel does not fit; below this margin the car does not even start.
DRUM, START = "drum", "start_margin"
# As messages, for `_`.
LIMIT_NAMES = {
    "start_margin": later("start margin"),
    "traction_margin": later("traction margin"),
    "tipping_margin": later("tipping margin"),
    "string_margin": later("string margin"),
}


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
            Fault(f"--{name.replace('_', '-')}", f"{value:g}", _("a number of at least 1"))
            for name in NAMES
            if not 1.0 <= (value := getattr(self, name)) < float("inf")
        )
        if faults:
            raise InputError("; ".join(map(str, faults)), faults)

    def broken(self, runs: BatchPrediction) -> dict[str, Flags]:
        """(n,) for each margin: whether it is below its limit. An unknown margin is not."""
        return {name: getattr(runs, name) < getattr(self, name) for name in NAMES}


NAMES = tuple(field.name for field in fields(Limits))
