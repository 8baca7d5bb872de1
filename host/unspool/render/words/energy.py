"""The energy ledger as rows of names and joules."""

from __future__ import annotations

from unspool.language import _, later
from unspool.model.outcome import EnergyLedger

# (field of the ledger, its name on the page)
LOSSES = (
    ("left_in_weight", later("left in the weight")),
    ("drive", later("lost in the drive")),
    ("catches", later("lost at tier changes")),
    ("landing", later("lost as the weight lands")),
    ("rolling", later("rolling")),
    ("air", later("air")),
    ("grade", later("climbing")),
    ("kinetic", later("kept as speed")),
    ("unexplained", later("not explained")),
)


def ledger_entries(ledger: EnergyLedger) -> list[tuple[str, str, float | None]]:
    """Each loss by field and name, in J; kept speed is shown only for a car that nothing stops."""
    rows = [(field, _(name), getattr(ledger, field)) for field, name in LOSSES]
    return [one for one in rows if one[0] != "kinetic" or one[2]]


def ledger_rows(ledger: EnergyLedger) -> list[tuple[str, float | None]]:
    """The same by name only."""
    return [(name, joules) for _field, name, joules in ledger_entries(ledger)]
