"""The fields of a car's form that say how well it was measured."""

from __future__ import annotations

from unspool.render.words.form_fields import FormField, Section


def _errors(*rows: tuple[str, str, str, str]) -> tuple[FormField, ...]:
    """path, of what, unit, and the error of the usual tool."""
    return tuple(
        FormField(path, f"Error of the {what}", unit, usual=usual)
        for path, what, unit, usual in rows
    )


ERRORS = Section(
    "How well it is measured",
    _errors(
        ("body.mass_sd_g", "car's mass", "g", "1 g and 0.5 %"),
        ("weight.mass_sd_g", "weight's mass", "g", "1 g and 0.5 %"),
        ("weight.drop_sd_mm", "drop", "mm", "3"),
        ("pulley.mass_sd_g", "pulley's mass", "g", "20 %"),
        ("body.frontal_area_sd_cm2", "frontal area", "cm²", "10 %"),
        ("body.drag_coefficient_sd", "drag coefficient", "", "28 %"),
        ("losses.rolling_coefficient_sd", "rolling coefficient", "", "20 %"),
        ("losses.constant_drag_sd_n", "constant drag", "N", "0.005"),
        ("losses.linear_drag_sd_n_s_per_m", "drag that grows with speed", "N s/m", "a guess"),
        ("losses.drive_efficiency_sd", "drive's efficiency", "", "from 0.65 to 0.97"),
    ),
    hint="As a standard deviation: two thirds of your measurements are within it. Leave a field"
    " empty if you used the usual tool.",
)
WHEEL_ERRORS = _errors(
    ("wheels.*.diameter_sd_mm", "diameter", "mm", "0.3"),
    ("wheels.*.rolling_circumference_sd_mm", "rolling circumference", "mm", "0.5"),
    ("wheels.*.inertia_sd_kg_m2", "moment of inertia", "kg m²", "20 %"),
)
DRUM_ERRORS = _errors(
    ("drum.*.diameter_sd_mm", "diameter", "mm", "0.2"),
    ("drum.*.turns_sd", "turns", "turns", "0.1"),
)
