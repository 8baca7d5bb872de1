"""What each setting of a contest's rules is called on its form."""

from __future__ import annotations

from collections.abc import Mapping

from unspool.language import later

LABELS: Mapping[str, str] = {
    "attempts": later("Attempts of each car"),
    "measure": later("What counts"),
    "mark_m": later("Distance to the mark, for a time"),
    "by": later("Measured with"),
    "score": later("The score is"),
    "drop_worst": later("Worst attempts that are left out"),
    "ties": later("If cars tie"),
    "order": later("Order"),
    "forecast": later("Error of a forecast"),
    "resolution": later("Scores are rounded to"),
    "doubt_m": later("Tape and sensor may differ by"),
    "name": later("Name"),
    "weight_min_g": later("Weight from"),
    "weight_max_g": later("Weight up to"),
    "age_min": later("Age from"),
    "age_max": later("Age up to"),
    "metres": later("Taken off"),
    "seconds": later("Added"),
    "void": later("The attempt"),
}
UNITS: Mapping[str, str] = {
    "mark_m": "m",
    "resolution": "m, s",
    "doubt_m": "m",
    "weight_min_g": "g",
    "weight_max_g": "g",
    "metres": "m",
    "seconds": "s",
}
