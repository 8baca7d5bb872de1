"""The energy ledger as rows of names and joules."""

from __future__ import annotations

from unspool.model.outcome import EnergyLedger

# (field of the ledger, its name on the page)
LOSSES = (
    ("left_in_weight", "left in the weight"),
    ("drive", "lost in the drive"),
    ("catches", "lost at tier changes"),
    ("landing", "lost as the weight lands"),
    ("rolling", "rolling"),
    ("air", "air"),
    ("grade", "climbing"),
    ("kinetic", "kept as speed"),
    ("unexplained", "not explained"),
)


def ledger_rows(ledger: EnergyLedger) -> list[tuple[str, float | None]]:
    """Each loss by name in J; kept speed is shown only for a car that nothing stops."""
    rows = [(field, name, getattr(ledger, field)) for field, name in LOSSES]
    return [(name, joules) for field, name, joules in rows if field != "kinetic" or joules]
