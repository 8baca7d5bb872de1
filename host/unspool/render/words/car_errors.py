"""The fields of a car's form that say how well it was measured."""

from __future__ import annotations

from unspool.language import later
from unspool.render.words.form_fields import FormField, Section


def _errors(*rows: tuple[str, str, str, str]) -> tuple[FormField, ...]:
    """path, label, unit, and the error of the usual tool."""
    return tuple(FormField(path, label, unit, usual=usual) for path, label, unit, usual in rows)


ERRORS = Section(
    later("How well it is measured"),
    _errors(
        ("body.mass_sd_g", later("Error of the car's mass"), "g", later("1 g and 0.5 %")),
        ("weight.mass_sd_g", later("Error of the weight's mass"), "g", later("1 g and 0.5 %")),
        ("weight.drop_sd_mm", later("Error of the drop"), "mm", "3"),
        ("pulley.mass_sd_g", later("Error of the pulley's mass"), "g", "20 %"),
        ("body.frontal_area_sd_cm2", later("Error of the frontal area"), "cm²", "10 %"),
        ("body.drag_coefficient_sd", later("Error of the drag coefficient"), "", "28 %"),
        ("losses.rolling_coefficient_sd", later("Error of the rolling coefficient"), "", "20 %"),
        ("losses.constant_drag_sd_n", later("Error of the constant drag"), "N", "0.005"),
        (
            "losses.linear_drag_sd_n_s_per_m",
            later("Error of the drag that grows with speed"),
            "N s/m",
            later("a guess"),
        ),
        (
            "losses.drive_efficiency_sd",
            later("Error of the drive's efficiency"),
            "",
            later("from 0.65 to 0.97"),
        ),
    ),
    hint=later(
        "As a standard deviation: two thirds of your measurements are within it. Leave a field "
        "empty if you used the usual tool."
    ),
)
WHEEL_ERRORS = _errors(
    ("wheels.*.diameter_sd_mm", later("Error of the diameter"), "mm", "0.3"),
    (
        "wheels.*.rolling_circumference_sd_mm",
        later("Error of the rolling circumference"),
        "mm",
        "0.5",
    ),
    ("wheels.*.inertia_sd_kg_m2", later("Error of the moment of inertia"), "kg m²", "20 %"),
)
DRUM_ERRORS = _errors(
    ("drum.*.diameter_sd_mm", later("Error of the diameter"), "mm", "0.2"),
    ("drum.*.turns_sd", later("Error of the turns"), "turns", "0.1"),
)
