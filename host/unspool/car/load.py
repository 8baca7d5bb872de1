"""Car files and track files into Car and Track, or every fault of the file at once."""

from __future__ import annotations

from math import pi
from os import PathLike
from pathlib import Path

from pydantic import ValidationError

from unspool.car import schema, vehicle
from unspool.car.air import ROOM_HUMIDITY, ROOM_TEMPERATURE_C, STANDARD_PRESSURE_PA, air_density
from unspool.car.car_checks import car_faults
from unspool.car.faults import refuse, schema_faults
from unspool.car.handbook import with_usual_losses
from unspool.car.of_run import AS_FILED, OfRun
from unspool.car.toml_source import Table, parse_toml, read_text
from unspool.car.track import Track
from unspool.car.track_checks import track_faults
from unspool.errors import Fault, InputError
from unspool.language import _

# Handbook values, for what a file leaves out, if it does not say what turns in what either.
# Rolling: small hard wheels lie between a bicycle tyre on concrete (0.002) and a car tyre (0.015),
# and plain bearings add to it. Tyre: rubber on wet concrete and wood on wood are at 0.5 to 0.7.
# Drive: one pulley, one peg and a string.
DEFAULT_ROLLING = 0.012
DEFAULT_EFFICIENCY = 0.9
DEFAULT_TYRE_FRICTION = 0.6
# A car at rest holds on a little harder than it rolls (common practice: a quarter more).
BREAK_AWAY_OVER_ROLLING = 1.25


def load_car(path: str | PathLike[str]) -> vehicle.Car:
    """The car of a TOML file. Raises InputError with every fault of the file."""
    return parse_car(read_text(Path(path)), str(path))


def parse_car(text: str, source: str, of_run: OfRun = AS_FILED) -> vehicle.Car:
    """The car of a TOML text, as it was in one run; `source` names it in errors.

    Raises InputError with every fault.
    """
    raw = parse_toml(text, source)
    of_run.put_into(raw)
    return car_of_table(raw, source)


def car_of_table(raw: Table, source: str) -> vehicle.Car:
    """The car of a file that is read already. Raises InputError with every fault."""
    if "level" in raw and "body" not in raw:
        raise InputError(
            _(
                "{source}: is a track file; give a car file, and this one as the track",
                source=source,
            )
        )
    faults, file = _checked_car(raw)
    if file is None or faults:
        raise refuse(source, faults)
    return _car(file)


def load_track(path: str | PathLike[str]) -> Track:
    """The track of a TOML file. Raises InputError with every fault of the file."""
    return parse_track(read_text(Path(path)), str(path))


def parse_track(text: str, source: str) -> Track:
    """The track of a TOML text; `source` names it in errors. Raises InputError with every fault."""
    raw = parse_toml(text, source)
    if "body" in raw:
        raise InputError(
            _("{source}: is a car file; give a track file, or none for a flat floor", source=source)
        )
    faults: list[Fault] = []
    file = None
    try:
        file = schema.TrackFile.model_validate(raw)
    except ValidationError as error:
        faults = schema_faults(error, schema.TrackFile)
    faults += track_faults(raw)
    if file is None or faults:
        raise refuse(source, faults)
    return _track(file)


def _checked_car(raw: Table) -> tuple[list[Fault], schema.CarFile | None]:
    try:
        return car_faults(raw), schema.CarFile.model_validate(raw)
    except ValidationError as error:
        faults = schema_faults(error, schema.CarFile)
        places = {one.where for one in faults}
        return faults + [one for one in car_faults(raw) if one.where not in places], None


def _car(file: schema.CarFile) -> vehicle.Car:
    body, weight = file.body, file.weight
    car = vehicle.Car(
        name=file.name,
        body_mass_kg=body.mass_g * 1e-3,
        weight_mass_kg=weight.mass_g * 1e-3,
        drop_m=weight.drop_mm * 1e-3,
        string_diameter_m=file.string.diameter_mm * 1e-3,
        wheels=tuple(_wheel(one) for one in file.wheels),
        drum=tuple(_tier(one, file.string) for one in file.drum),
        encoder=vehicle.Encoder(
            file.encoder.pulses_per_turn, file.encoder.axle, file.encoder.sensors
        ),
        losses=_losses(file.losses),
        frontal_area_m2=_scaled(body.frontal_area_cm2, 1e-4),
        drag_coefficient=body.drag_coefficient,
        breaking_load_n=file.string.breaking_load_n,
        pulley=_pulley(file.pulley),
        geometry=_geometry(body, weight),
        body_mass_sd_kg=_scaled(body.mass_sd_g, 1e-3),
        weight_mass_sd_kg=_scaled(weight.mass_sd_g, 1e-3),
        drop_sd_m=_scaled(weight.drop_sd_mm, 1e-3),
        frontal_area_sd_m2=_scaled(body.frontal_area_sd_cm2, 1e-4),
        drag_coefficient_sd=body.drag_coefficient_sd,
    )
    return with_usual_losses(car)


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _disc_inertia(mass_kg: float, radius_m: float) -> float:
    return mass_kg * radius_m**2 / 2.0


def _wheel(wheel: schema.WheelsTable) -> vehicle.Wheel:
    ruler = wheel.diameter_mm * 0.5e-3
    rolled = wheel.rolling_circumference_mm
    inertia = wheel.inertia_kg_m2
    return vehicle.Wheel(
        name=wheel.name,
        count=wheel.count,
        radius_m=ruler if rolled is None else rolled * 1e-3 / (2.0 * pi),
        inertia_kg_m2=_disc_inertia(wheel.mass_g * 1e-3, ruler) if inertia is None else inertia,
        driven=wheel.driven,
        radius_sd_m=_scaled(wheel.diameter_sd_mm, 0.5e-3)
        if rolled is None
        else _scaled(wheel.rolling_circumference_sd_mm, 0.5e-3 / pi),
        inertia_sd_kg_m2=wheel.inertia_sd_kg_m2,
        rolled_out=rolled is not None,
        mass_kg=wheel.mass_g * 1e-3,
        bearing=_bearing(wheel),
        tyre=wheel.tyre,
    )


def _bearing(wheel: schema.WheelsTable) -> vehicle.Bearing | None:
    if wheel.bearing is None:
        return None
    return vehicle.Bearing(
        wheel.bearing, _scaled(wheel.shaft_mm, 1e-3), _scaled(wheel.bore_mm, 1e-3)
    )


def _tier(tier: schema.DrumTable, string: schema.StringTable) -> vehicle.Tier:
    end = tier.diameter_mm if tier.end_diameter_mm is None else tier.end_diameter_mm
    return vehicle.Tier(
        name=tier.name,
        radius_m=(tier.diameter_mm + string.diameter_mm) * 0.5e-3,
        turns=tier.turns,
        end_radius_m=(end + string.diameter_mm) * 0.5e-3,
        radius_sd_m=_scaled(tier.diameter_sd_mm, 0.5e-3),
        turns_sd=tier.turns_sd,
    )


def _pulley(pulley: schema.PulleyTable | None) -> vehicle.Pulley | None:
    if pulley is None:
        return None
    radius = pulley.diameter_mm * 0.5e-3
    return vehicle.Pulley(
        radius,
        _disc_inertia(pulley.mass_g * 1e-3, radius),
        _scaled(pulley.mass_sd_g, _disc_inertia(1e-3, radius)),
    )


def _geometry(body: schema.BodyTable, weight: schema.WeightTable) -> vehicle.Geometry | None:
    base, behind = body.wheelbase_mm, body.centre_of_mass_to_driven_axle_mm
    height = body.centre_of_mass_height_mm
    if base is None or behind is None or height is None:
        return None
    return vehicle.Geometry(
        base * 1e-3,
        behind * 1e-3,
        height * 1e-3,
        _scaled(weight.centre_height_mm, 1e-3),
        _scaled(weight.centre_to_driven_axle_mm, 1e-3),
    )


def _losses(given: schema.LossesTable) -> vehicle.Losses:
    values = given.model_dump()
    rolling, break_away = values["rolling_coefficient"], values["break_away_coefficient"]
    if rolling is None:
        rolling = DEFAULT_ROLLING if break_away is None else min(DEFAULT_ROLLING, break_away)
    defaults = {
        "rolling_coefficient": rolling,
        "constant_drag_n": 0.0,
        "linear_drag_n_s_per_m": 0.0,
        "drive_efficiency": DEFAULT_EFFICIENCY,
        "break_away_coefficient": BREAK_AWAY_OVER_ROLLING * rolling,
        "tyre_friction": DEFAULT_TYRE_FRICTION,
    }
    assumed = tuple(name for name in defaults if values[name] is None)
    known = {name: value for name, value in values.items() if value is not None}
    return vehicle.Losses(**{**defaults, **known}, assumed=assumed)


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def _track(file: schema.TrackFile) -> Track:
    humidity = _or(file.relative_humidity, ROOM_HUMIDITY)
    density = air_density(
        _or(file.air_temperature_c, ROOM_TEMPERATURE_C),
        _or(file.air_pressure_hpa, STANDARD_PRESSURE_PA / 100.0) * 100.0,
        humidity / 100.0 if humidity > 1.0 else humidity,
    )
    levels = file.level or [schema.LevelTable(distance_m=0.0, height_mm=0.0)]
    return Track(
        name=file.name,
        distance_m=tuple(level.distance_m for level in levels),
        height_m=tuple(level.height_mm * 1e-3 for level in levels),
        air_density_kg_m3=density,
    )
