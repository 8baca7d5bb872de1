"""Where a car's energy goes, of each 100 J that its weight gives: one plain sentence."""

from __future__ import annotations

from unspool.model import predict
from unspool.model.outcome import EnergyLedger
from unspool.render.words.units import NBSP
from unspool.render.words.values import listed
from unspool.study.calibration import Calibration

# What a share is called, and which entries of the ledger it sums.
SHARES = (
    ("rolling", ("rolling",)),
    ("the air", ("air",)),
    ("the drive", ("drive",)),
    ("the string's jumps at tier changes", ("catches",)),
    ("the landing of the weight", ("landing", "left_in_weight")),
)
LEAST = 1  # J of 100: smaller shares are not worth a word
NAMED = 3


def headline(calibration: Calibration) -> str:
    """What the car as calibrated spends most on, wound as its file says, on a level track."""
    car = calibration.calibrated(calibration.car)
    shares = energy_shares(predict(car).energy)
    if not shares:
        return f"{car.name} does not start on a level track as it is wound."
    (most, first), *others = shares[:NAMED]
    rest = tuple(f"{share} to {name}" for name, share in others)
    tail = f", then {listed(rest)}" if rest else ""
    return f"Of each 100{NBSP}J, {car.name} loses most to {most}: {first}{tail}."


def energy_shares(ledger: EnergyLedger) -> list[tuple[str, int]]:
    """Name and joules of each 100 J, the largest first; [] if the weight gives nothing."""
    if ledger.stored <= 0.0:
        return []
    sums = [
        (name, round(100.0 * sum(getattr(ledger, part) or 0.0 for part in parts) / ledger.stored))
        for name, parts in SHARES
    ]
    return sorted((one for one in sums if one[1] >= LEAST), key=lambda one: one[1], reverse=True)
