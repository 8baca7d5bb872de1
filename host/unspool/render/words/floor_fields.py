"""The fields of a floor's form."""

from __future__ import annotations

from unspool.language import later
from unspool.render.words.car_fields import NAME
from unspool.render.words.form_fields import FormField, Section

LEVELS = Section(
    later("Levels"),
    (
        FormField("level.*.distance_m", later("Distance from the launch line"), "m"),
        FormField("level.*.height_mm", later("Height of the floor there"), "mm"),
    ),
    hint=later(
        "Between two levels the floor is straight. A water level, or a laser on a stand, shows"
        " heights to a millimetre."
    ),
)
AIR = Section(
    later("Air"),
    (
        FormField("air_temperature_c", later("Temperature"), "°C", usual="20"),
        FormField("air_pressure_hpa", later("Pressure"), "hPa", usual="1013"),
        FormField(
            "relative_humidity",
            later("Relative humidity"),
            "",
            later("In percent, or as a share: 0.45."),
            usual="50",
        ),
    ),
)
SECTIONS = (LEVELS,)


def floor_fields() -> dict[str, FormField]:
    """Every field of the form, by its path."""
    return {one.path: one for one in (NAME, *LEVELS.fields, *AIR.fields)}
