"""Likely unit mistakes: a refused value that would be usual in another unit.

USUAL holds what builders' cars have, by key, in the key's own unit. It is narrower than what a file
may hold: it only decides whether a hint is given, never whether a value is taken.
"""

from __future__ import annotations

from math import isfinite

from unspool.language import _, later

Range = tuple[float, float]
Factors = tuple[tuple[str, float], ...]

_MASS: Factors = ((later("kilograms"), 1e3), (later("milligrams"), 1e-3))
_LENGTH: Factors = ((later("metres"), 1e3), (later("centimetres"), 10.0), (later("inches"), 25.4))
_AREA: Factors = ((later("square metres"), 1e4), (later("square millimetres"), 1e-2))
_SHARE: Factors = ((later("percent"), 1e-2),)
_INERTIA: Factors = (("g cm2", 1e-7), ("g mm2", 1e-9), ("kg cm2", 1e-4))
_WAY: Factors = ((later("millimetres"), 1e-3), (later("centimetres"), 1e-2))

USUAL: dict[str, tuple[Range, Factors]] = {
    "body.mass_g": ((100.0, 2e4), _MASS),
    "weight.mass_g": ((50.0, 1e4), _MASS),
    "pulley.mass_g": ((0.5, 200.0), _MASS),
    "wheels.mass_g": ((1.0, 2e3), _MASS),
    "weight.drop_mm": ((100.0, 3e3), _LENGTH),
    "string.diameter_mm": ((0.05, 4.0), _LENGTH),
    "pulley.diameter_mm": ((5.0, 150.0), _LENGTH),
    "wheels.diameter_mm": ((25.0, 600.0), _LENGTH),
    "wheels.rolling_circumference_mm": ((80.0, 1900.0), _LENGTH),
    "wheels.shaft_mm": ((1.0, 20.0), _LENGTH),
    "wheels.bore_mm": ((1.0, 25.0), _LENGTH),
    "drum.diameter_mm": ((3.0, 200.0), _LENGTH),
    "drum.end_diameter_mm": ((3.0, 200.0), _LENGTH),
    "body.wheelbase_mm": ((100.0, 1500.0), _LENGTH),
    "body.centre_of_mass_to_driven_axle_mm": ((20.0, 1500.0), _LENGTH),
    "body.centre_of_mass_height_mm": ((20.0, 1500.0), _LENGTH),
    "body.frontal_area_cm2": ((20.0, 5e3), _AREA),
    "wheels.inertia_kg_m2": ((1e-7, 1e-2), _INERTIA),
    "losses.rolling_coefficient": ((1e-3, 0.1), _SHARE),
    "losses.break_away_coefficient": ((1e-3, 0.15), _SHARE),
    "losses.drive_efficiency": ((0.5, 1.0), _SHARE),
    "losses.tyre_friction": ((0.2, 1.2), _SHARE),
    "level.distance_m": ((0.5, 200.0), _WAY),
}


def unit_hint(key: str, value: object) -> str:
    """`; if it is in kilograms, write 910` for a value 0.91 of `key`, or nothing.

    key: section and name without a list's index, such as "wheels.mass_g".
    """
    if key not in USUAL or isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    (low, high), factors = USUAL[key]
    meant = ((unit, _times(value, factor)) for unit, factor in factors)
    return "".join(
        _("; if it is in {unit}, write {right}", unit=_(unit), right=f"{right:.4g}")
        for unit, right in meant
        if low <= right <= high
    )


def _times(value: float, factor: float) -> float:
    try:
        meant = float(value) * factor
    except OverflowError:  # an integer of hundreds of digits
        return float("inf")
    return meant if isfinite(meant) else float("inf")
