"""What a car file and a track file may say, key by key, in the units that builders use.

A field's description is what a fault at that field says is expected. The bounds hold every car that
anybody builds for this purpose, with room to spare, and no value in the wrong unit by a thousand.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from unspool.language import later

MODEL = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)

Version = Annotated[Literal[1], Field(description=later("1, the version of the format"))]
Name = Annotated[
    str,
    StringConstraints(
        min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]*\S[^\x00-\x1f\x7f]*$"
    ),
    Field(description=later("a name of 1 to 80 characters on one line")),
]


# What a value may be. The numbers of a range are put in when a fault is said.
A_MASS = later("a mass from {low} to {high}")
A_LENGTH = later("a length from {low} to {high}")
A_NUMBER = later("a number from {low} to {high}")
A_FORCE = later("a force from {low} to {high}")
A_SHARE = later("a share from {low} to {high}")
A_DISTANCE = later("a distance from {low} to {high}")
A_HEIGHT = later("a height from {low} to {high}")
A_WHOLE_NUMBER = later("a whole number from {low} to {high}")
NO_MASS = later("0, or a mass from {low} to {high}")
NO_LENGTH = later("0, or a length from {low} to {high}")
NO_NUMBER = later("0, or a number from {low} to {high}")
NO_FORCE = later("0, or a force from {low} to {high}")
NO_AREA = later("0, or an area from {low} to {high}")
SD_OF_MASS = later("a standard deviation, a mass from {low} to {high}")
SD_OF_LENGTH = later("a standard deviation, a length from {low} to {high}")
SD_OF_NUMBER = later("a standard deviation, a number from {low} to {high}")
SD_OF_AREA = later("a standard deviation, an area from {low} to {high}")
SD_OF_FORCE = later("a standard deviation, a force from {low} to {high}")


def _zero_or_from(least: float) -> Callable[[float], float]:
    """A check that takes 0, "there is none", and refuses what is too small to be meant."""

    def check(value: float) -> float:
        if 0.0 < value < least:
            raise ValueError
        return value

    return check


def _between(expected: str, low: float, high: float, least: float | None = None) -> Any:
    """A number from low to high, and the words that say so. least: the bound, if it is less."""
    said: dict[str, Any] = {"low": low, "high": high}
    return Field(
        ge=low if least is None else least, le=high, description=expected, json_schema_extra=said
    )


def _zero_or_between(expected: str, low: float, high: float) -> Any:
    return _between(expected, low, high, least=0.0)


BodyGrams = Annotated[float, _between(A_MASS, 10, 100_000)]
WeightGrams = Annotated[float, _between(A_MASS, 5, 50_000)]
PartGrams = Annotated[
    float, _zero_or_between(NO_MASS, 0.05, 20_000), AfterValidator(_zero_or_from(0.05))
]
Drop = Annotated[float, _between(A_LENGTH, 20, 10_000)]
Millimetres = Annotated[float, _between(A_LENGTH, 1, 5_000)]
SomeMillimetres = Annotated[float, _between(A_LENGTH, 0, 5_000)]
WheelMillimetres = Annotated[float, _between(A_LENGTH, 10, 2_000)]
StringMillimetres = Annotated[
    float, _zero_or_between(NO_LENGTH, 0.02, 10), AfterValidator(_zero_or_from(0.02))
]
ShaftMillimetres = Annotated[float, _between(A_LENGTH, 0.2, 100)]
Turns = Annotated[float, _between(A_NUMBER, 0.05, 500)]
Count = Annotated[int, _between(A_WHOLE_NUMBER, 1, 20)]
Pulses = Annotated[int, _between(A_WHOLE_NUMBER, 1, 65_535)]
Sensors = Annotated[int, Field(ge=1, le=2, description=later("1, or 2 for edges with a direction"))]
Newtons = Annotated[float, _between(A_FORCE, 1, 5_000)]
DragNewtons = Annotated[
    float, _zero_or_between(NO_FORCE, 1e-4, 50), AfterValidator(_zero_or_from(1e-4))
]
# Steel wheels on steel rails, the lowest in handbook tables, roll with 0.001 to 0.002.
Coefficient = Annotated[
    float, _zero_or_between(NO_NUMBER, 2e-4, 0.5), AfterValidator(_zero_or_from(2e-4))
]
Friction = Annotated[float, _between(A_NUMBER, 0.02, 5)]
Efficiency = Annotated[float, _between(A_SHARE, 0.05, 1)]
Area = Annotated[float, _zero_or_between(NO_AREA, 0.5, 10_000), AfterValidator(_zero_or_from(0.5))]
Drag = Annotated[float, _between(A_NUMBER, 0, 5)]
Inertia = Annotated[
    float, _zero_or_between(NO_NUMBER, 1e-10, 1), AfterValidator(_zero_or_from(1e-10))
]
YesNo = Annotated[bool, Field(description=later("true or false"))]


def optional(expected: str, **said: float) -> Any:
    """A key that may be left out. expected: what it may hold, with the numbers `said` in it."""
    return Field(default=None, description=expected, json_schema_extra=dict(said))


def _sd_of(expected: str, least: float, most: float) -> Any:
    """An optional standard deviation of the key without `_sd`."""
    said: dict[str, Any] = {"low": least, "high": most}
    return Field(default=None, ge=least, le=most, description=expected, json_schema_extra=said)


def _mass_sd() -> Any:
    return _sd_of(SD_OF_MASS, 1e-3, 10_000)


def _length_sd() -> Any:
    return _sd_of(SD_OF_LENGTH, 1e-3, 1_000)


def _share_sd() -> Any:
    return _sd_of(SD_OF_NUMBER, 1e-5, 0.5)


class BodyTable(BaseModel):
    model_config = MODEL
    mass_g: BodyGrams
    mass_sd_g: float | None = _mass_sd()
    frontal_area_cm2: Area | None = optional(NO_AREA, low=0.5, high=10000)
    frontal_area_sd_cm2: float | None = _sd_of(SD_OF_AREA, 0.01, 5_000)
    drag_coefficient: Drag | None = optional(A_NUMBER, low=0, high=5)
    drag_coefficient_sd: float | None = _sd_of(SD_OF_NUMBER, 1e-4, 2.5)
    wheelbase_mm: Millimetres | None = optional(A_LENGTH, low=1, high=5000)
    centre_of_mass_to_driven_axle_mm: SomeMillimetres | None = optional(
        later("a length from 0 up to wheelbase_mm")
    )
    centre_of_mass_height_mm: Millimetres | None = optional(A_LENGTH, low=1, high=5000)


class WeightTable(BaseModel):
    model_config = MODEL
    mass_g: WeightGrams
    mass_sd_g: float | None = _mass_sd()
    drop_mm: Drop
    drop_sd_mm: float | None = _length_sd()
    centre_height_mm: Millimetres | None = optional(A_LENGTH, low=1, high=5000)
    centre_to_driven_axle_mm: SomeMillimetres | None = optional(A_LENGTH, low=0, high=5000)


class StringTable(BaseModel):
    model_config = MODEL
    diameter_mm: StringMillimetres
    breaking_load_n: Newtons | None = optional(A_FORCE, low=1, high=5000)


class PulleyTable(BaseModel):
    model_config = MODEL
    diameter_mm: Millimetres
    mass_g: PartGrams
    mass_sd_g: float | None = _mass_sd()


class WheelsTable(BaseModel):
    model_config = MODEL
    name: Name
    count: Count
    diameter_mm: WheelMillimetres
    diameter_sd_mm: float | None = _length_sd()
    mass_g: PartGrams
    inertia_kg_m2: Inertia | None = optional(NO_NUMBER, low=1e-10, high=1)
    inertia_sd_kg_m2: float | None = _sd_of(SD_OF_NUMBER, 1e-12, 0.5)
    driven: YesNo = False
    rolling_circumference_mm: Millimetres | None = optional(A_LENGTH, low=1, high=5000)
    rolling_circumference_sd_mm: float | None = _length_sd()
    bearing: Literal["ball", "plain"] | None = optional(later('"ball" or "plain"'))
    shaft_mm: ShaftMillimetres | None = optional(A_LENGTH, low=0.2, high=100)
    bore_mm: ShaftMillimetres | None = optional(A_LENGTH, low=0.2, high=100)
    tyre: Literal["hard", "rubber", "foam"] | None = optional(later('"hard", "rubber" or "foam"'))


class DrumTable(BaseModel):
    model_config = MODEL
    name: Name
    diameter_mm: Millimetres
    diameter_sd_mm: float | None = _length_sd()
    turns: Turns
    turns_sd: float | None = _sd_of(SD_OF_NUMBER, 1e-3, 5)
    end_diameter_mm: Millimetres | None = optional(A_LENGTH, low=1, high=5000)


class EncoderTable(BaseModel):
    model_config = MODEL
    pulses_per_turn: Pulses
    axle: Name
    sensors: Sensors = 2


class LossesTable(BaseModel):
    model_config = MODEL
    rolling_coefficient: Coefficient | None = optional(NO_NUMBER, low=2e-4, high=0.5)
    rolling_coefficient_sd: float | None = _share_sd()
    constant_drag_n: DragNewtons | None = optional(NO_FORCE, low=0.0001, high=50)
    constant_drag_sd_n: float | None = _sd_of(SD_OF_FORCE, 1e-5, 50)
    linear_drag_n_s_per_m: DragNewtons | None = optional(NO_NUMBER, low=0.0001, high=50)
    linear_drag_sd_n_s_per_m: float | None = _sd_of(SD_OF_NUMBER, 1e-5, 50)
    drive_efficiency: Efficiency | None = optional(A_SHARE, low=0.05, high=1)
    drive_efficiency_sd: float | None = _share_sd()
    break_away_coefficient: Coefficient | None = optional(NO_NUMBER, low=2e-4, high=0.5)
    tyre_friction: Friction | None = optional(A_NUMBER, low=0.02, high=5)
    floor: Literal["smooth", "rough", "carpet"] | None = optional(
        later('"smooth", "rough" or "carpet"')
    )


class CarFile(BaseModel):
    model_config = MODEL
    unspool: Version = 1
    name: Name
    body: BodyTable = Field(description=later("a [body] table"))
    weight: WeightTable = Field(description=later("a [weight] table"))
    string: StringTable = Field(description=later("a [string] table"))
    pulley: PulleyTable | None = optional(later("a [pulley] table"))
    wheels: list[WheelsTable] = Field(
        min_length=1, max_length=20, description=later("1 to 20 [[wheels]] tables")
    )
    drum: list[DrumTable] = Field(
        min_length=1, max_length=50, description=later("1 to 50 [[drum]] tables")
    )
    encoder: EncoderTable = Field(description=later("an [encoder] table"))
    losses: LossesTable = Field(LossesTable(), description=later("a [losses] table"))


MOST_LEVELS = 500
Metres = Annotated[float, _between(A_DISTANCE, -1_000, 1_000)]
Height = Annotated[float, _between(A_HEIGHT, -20_000, 20_000)]


class LevelTable(BaseModel):
    model_config = MODEL
    distance_m: Metres
    height_mm: Height


class TrackFile(BaseModel):
    model_config = MODEL
    unspool: Version = 1
    name: Name
    air_temperature_c: float | None = Field(
        default=None, ge=-60, le=60, description=later("a temperature from -60 to 60 C")
    )
    air_pressure_hpa: float | None = Field(
        default=None, ge=300, le=1200, description=later("a pressure from 300 to 1200 hPa")
    )
    relative_humidity: float | None = Field(
        default=None,
        ge=0,
        le=100,
        description=later("a share from 0 to 1, or percent up to 100"),
    )
    level: list[LevelTable] = Field(
        [],
        max_length=MOST_LEVELS,
        description=later("at most {most} [[level]] tables"),
        json_schema_extra={"most": MOST_LEVELS},
    )
