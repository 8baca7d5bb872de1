"""Where a car's energy goes, of each 100 J that its weight gives: one plain sentence."""

from __future__ import annotations

from unspool.language import _, later
from unspool.model import predict
from unspool.model.outcome import EnergyLedger
from unspool.render.words.units import NBSP
from unspool.render.words.values import listed
from unspool.study.calibration import Calibration

# What a share is called, and which entries of the ledger it sums.
SHARES = (
    (later("rolling"), ("rolling",)),
    (later("the air"), ("air",)),
    (later("the drive"), ("drive",)),
    (later("the string's jumps at tier changes"), ("catches",)),
    (later("the landing of the weight"), ("landing", "left_in_weight")),
)
LEAST = 1  # J of 100: smaller shares are not worth a word
NAMED = 3


def headline(calibration: Calibration) -> str:
    """What the car as calibrated spends most on, wound as its file says, on a level track."""
    car = calibration.calibrated(calibration.car)
    shares = energy_shares(predict(car).energy)
    if not shares:
        return _("{car} does not start on a level track as it is wound.", car=car.name)
    (most, first), *others = shares[:NAMED]
    said = {"hundred": f"100{NBSP}J", "car": car.name, "most": _(most), "first": first}
    if not others:
        return _("Of each {hundred}, {car} loses most to {most}: {first}.", **said)
    rest = tuple(_("{share} to {name}", share=share, name=_(name)) for name, share in others)
    return _(
        "Of each {hundred}, {car} loses most to {most}: {first}, then {rest}.",
        **said,
        rest=listed(rest),
    )


def energy_shares(ledger: EnergyLedger) -> list[tuple[str, int]]:
    """Name and joules of each 100 J, the largest first; [] if the weight gives nothing."""
    if ledger.stored <= 0.0:
        return []
    sums = [
        (name, round(100.0 * sum(getattr(ledger, part) or 0.0 for part in parts) / ledger.stored))
        for name, parts in SHARES
    ]
    return sorted((one for one in sums if one[1] >= LEAST), key=lambda one: one[1], reverse=True)
