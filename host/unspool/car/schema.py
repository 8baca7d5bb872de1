"""What a car file and a track file may say, key by key, in the units that builders use.

A field's description is what a fault at that field says is expected. Upper bounds are far beyond
any car: they catch a value in the wrong unit.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

MODEL = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)

Version = Annotated[Literal[1], Field(description="1, the version of the format")]
Name = Annotated[
    str,
    StringConstraints(
        min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]*\S[^\x00-\x1f\x7f]*$"
    ),
    Field(description="a name of 1 to 80 characters on one line"),
]
Grams = Annotated[float, Field(gt=0, le=1e6, description="a mass above 0 and up to 1000000")]
SomeGrams = Annotated[float, Field(ge=0, le=1e6, description="a mass from 0 to 1000000")]
Millimetres = Annotated[float, Field(ge=1e-3, le=1e5, description="a length from 0.001 to 100000")]
SomeMillimetres = Annotated[float, Field(ge=0, le=1e5, description="a length from 0 to 100000")]
Turns = Annotated[float, Field(gt=0, le=10_000, description="a number above 0")]
Count = Annotated[int, Field(ge=1, le=100, description="a whole number from 1 to 100")]
Pulses = Annotated[int, Field(ge=1, le=100_000, description="a whole number from 1 to 100000")]
Newtons = Annotated[float, Field(gt=0, le=1e6, description="a force above 0 and up to 1000000")]
SomeNewtons = Annotated[float, Field(ge=0, le=1e4, description="a number from 0 to 10000")]
Coefficient = Annotated[float, Field(ge=0, lt=1, description="a number from 0 to below 1")]
Friction = Annotated[float, Field(gt=0, le=5, description="a number above 0 and up to 5")]
Efficiency = Annotated[float, Field(gt=0, le=1, description="a share above 0 and up to 1")]
Area = Annotated[float, Field(ge=0, le=1e6, description="an area from 0 to 1000000")]
Drag = Annotated[float, Field(ge=0, le=10, description="a number from 0 to 10")]
Inertia = Annotated[float, Field(ge=0, le=1e3, description="a number from 0 to 1000")]
YesNo = Annotated[bool, Field(description="true or false")]


def optional(expected: str) -> Any:
    """A key that may be left out; `expected` is what it may hold."""
    return Field(default=None, description=expected)


class Body(BaseModel):
    model_config = MODEL
    mass_g: Grams
    frontal_area_cm2: Area | None = optional("an area from 0 to 1000000")
    drag_coefficient: Drag | None = optional("a number from 0 to 10")
    wheelbase_mm: Millimetres | None = optional("a length from 0.001")
    centre_of_mass_to_driven_axle_mm: SomeMillimetres | None = optional(
        "a length from 0 up to wheelbase_mm"
    )
    centre_of_mass_height_mm: Millimetres | None = optional("a length from 0.001")


class Weight(BaseModel):
    model_config = MODEL
    mass_g: Grams
    drop_mm: Millimetres


class String(BaseModel):
    model_config = MODEL
    diameter_mm: SomeMillimetres
    breaking_load_n: Newtons | None = optional("a force above 0")


class Pulley(BaseModel):
    model_config = MODEL
    diameter_mm: Millimetres
    mass_g: SomeGrams


class Wheels(BaseModel):
    model_config = MODEL
    name: Name
    count: Count
    diameter_mm: Millimetres
    mass_g: SomeGrams
    inertia_kg_m2: Inertia | None = optional("a number from 0 to 1000")
    driven: YesNo = False
    rolling_circumference_mm: Millimetres | None = optional("a length from 0.001")


class Drum(BaseModel):
    model_config = MODEL
    name: Name
    diameter_mm: Millimetres
    turns: Turns
    end_diameter_mm: Millimetres | None = optional("a length from 0.001")


class Encoder(BaseModel):
    model_config = MODEL
    pulses_per_turn: Pulses
    axle: Name


class Losses(BaseModel):
    model_config = MODEL
    rolling_coefficient: Coefficient | None = optional("a number from 0 to below 1")
    constant_drag_n: SomeNewtons | None = optional("a number from 0 to 10000")
    linear_drag_n_s_per_m: SomeNewtons | None = optional("a number from 0 to 10000")
    drive_efficiency: Efficiency | None = optional("a share above 0 and up to 1")
    break_away_coefficient: Coefficient | None = optional("a number from 0 to below 1")
    tyre_friction: Friction | None = optional("a number above 0 and up to 5")


class CarFile(BaseModel):
    model_config = MODEL
    unspool: Version = 1
    name: Name
    body: Body = Field(description="a [body] table")
    weight: Weight = Field(description="a [weight] table")
    string: String = Field(description="a [string] table")
    pulley: Pulley | None = optional("a [pulley] table")
    wheels: list[Wheels] = Field(
        min_length=1, max_length=20, description="1 to 20 [[wheels]] tables"
    )
    drum: list[Drum] = Field(min_length=1, max_length=50, description="1 to 50 [[drum]] tables")
    encoder: Encoder = Field(description="an [encoder] table")
    losses: Losses = Field(Losses(), description="a [losses] table")


Metres = Annotated[float, Field(ge=-1e5, le=1e5, description="a number from -100000 to 100000")]
Height = Annotated[float, Field(ge=-1e6, le=1e6, description="a number from -1000000 to 1000000")]


class Level(BaseModel):
    model_config = MODEL
    distance_m: Metres
    height_mm: Height


class TrackFile(BaseModel):
    model_config = MODEL
    unspool: Version = 1
    name: Name
    air_temperature_c: float | None = Field(
        default=None, ge=-60, le=60, description="a temperature from -60 to 60 C"
    )
    air_pressure_hpa: float | None = Field(
        default=None, ge=300, le=1200, description="a pressure from 300 to 1200 hPa"
    )
    relative_humidity: float | None = Field(
        default=None,
        ge=0,
        le=100,
        description="a share from 0 to 1, or percent up to 100",
    )
    level: list[Level] = Field([], max_length=10_000, description="[[level]] tables")
