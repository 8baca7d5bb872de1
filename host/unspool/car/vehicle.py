"""Car: what a falling-weight car is, in SI, after its file was read and found right.

A field with `_sd` in its name is the standard deviation that the file states for the value before
it. It is None if the file states none: car/measured.py then takes that of the usual tool.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi


@dataclass(frozen=True)
class Tier:
    """One step of the drum; radii reach to the middle of the string.

    end_radius_m differs from radius_m only on a taper.
    """

    name: str
    radius_m: float
    turns: float
    end_radius_m: float
    radius_sd_m: float | None = None
    turns_sd: float | None = None

    @property
    def string_m(self) -> float:
        """Length of string wound on this tier."""
        return pi * (self.radius_m + self.end_radius_m) * self.turns

    @property
    def tapered(self) -> bool:
        return self.end_radius_m != self.radius_m


@dataclass(frozen=True)
class Bearing:
    """What an axle turns in: a `plain` journal or `ball` bearings. Diameters of shaft and bore."""

    kind: str
    shaft_m: float | None = None
    bore_m: float | None = None

    def radius_m(self, usual_m: float) -> float:
        """The radius at which it rubs; `usual_m` is the diameter if none is known.

        A turning shaft rubs at its own radius, a wheel on a fixed shaft at the bore's. The middle
        of both is taken.
        """
        known = [one for one in (self.shaft_m, self.bore_m) if one is not None]
        return 0.5 * sum(known) / len(known) if known else 0.5 * usual_m


@dataclass(frozen=True)
class Wheel:
    """A set of equal wheels on one axle; radius_m is the rolling radius.

    rolled_out: whether a roll-out gave it, and no calliper. mass_kg: of each; None if it is not
    known, and then that of a disc. tyre: a name of handbook.TYRES.
    """

    name: str
    count: int
    radius_m: float
    inertia_kg_m2: float  # each
    driven: bool
    radius_sd_m: float | None = None
    inertia_sd_kg_m2: float | None = None
    rolled_out: bool = False
    mass_kg: float | None = None
    bearing: Bearing | None = None
    tyre: str | None = None


@dataclass(frozen=True)
class Pulley:
    radius_m: float
    inertia_kg_m2: float
    inertia_sd_kg_m2: float | None = None


@dataclass(frozen=True)
class Encoder:
    pulses_per_turn: int
    axle: str
    sensors: int = 2  # with one, edges have no direction


@dataclass(frozen=True)
class Losses:
    """Loss terms; `assumed` names those that the car file left to handbook defaults.

    floor: what they are for, a name of handbook.FLOORS.
    """

    rolling_coefficient: float
    constant_drag_n: float
    linear_drag_n_s_per_m: float
    drive_efficiency: float
    break_away_coefficient: float
    tyre_friction: float
    assumed: tuple[str, ...] = ()
    rolling_coefficient_sd: float | None = None
    constant_drag_sd_n: float | None = None
    linear_drag_sd_n_s_per_m: float | None = None
    drive_efficiency_sd: float | None = None
    floor: str | None = None

    @property
    def holding_coefficient(self) -> float:
        """What holds a car at rest: the break-away, and never less than what it rolls against."""
        return max(self.break_away_coefficient, self.rolling_coefficient)


@dataclass(frozen=True)
class Geometry:
    """Where the mass sits; all lengths in metres.

    The weight's own centre, at the top, is None if the file does not say it.
    """

    wheelbase_m: float
    centre_of_mass_to_driven_axle_m: float
    centre_of_mass_height_m: float
    weight_height_m: float | None = None
    weight_to_driven_axle_m: float | None = None


@dataclass(frozen=True)
class Car:
    name: str
    body_mass_kg: float
    weight_mass_kg: float
    drop_m: float
    string_diameter_m: float
    wheels: tuple[Wheel, ...]
    drum: tuple[Tier, ...]  # in the order in which the string leaves them
    encoder: Encoder
    losses: Losses
    frontal_area_m2: float | None = None
    drag_coefficient: float | None = None
    breaking_load_n: float | None = None
    pulley: Pulley | None = None
    geometry: Geometry | None = None
    body_mass_sd_kg: float | None = None
    weight_mass_sd_kg: float | None = None
    drop_sd_m: float | None = None
    frontal_area_sd_m2: float | None = None
    drag_coefficient_sd: float | None = None

    @property
    def total_mass_kg(self) -> float:
        """M: body and weight on board."""
        return self.body_mass_kg + self.weight_mass_kg

    @property
    def driven_wheel(self) -> Wheel:
        return next(wheel for wheel in self.wheels if wheel.driven)

    @property
    def rotating_mass_kg(self) -> float:
        """J: wheels and axles summed as I/R^2, the mass they add to the car."""
        return sum(w.count * w.inertia_kg_m2 / w.radius_m**2 for w in self.wheels)

    @property
    def encoder_wheel(self) -> Wheel:
        return next(wheel for wheel in self.wheels if wheel.name == self.encoder.axle)

    @property
    def metres_per_edge(self) -> float:
        """Distance rolled between two edges of an evenly slotted disc."""
        return 2.0 * pi * self.encoder_wheel.radius_m / self.encoder.pulses_per_turn

    @property
    def drag_area_m2(self) -> float:
        """C_d A; 0 where the file gives no frontal area."""
        return (self.frontal_area_m2 or 0.0) * (self.drag_coefficient or 0.0)

    @property
    def wound_string_m(self) -> float:
        """L: string on the drum when wound as planned."""
        return sum(tier.string_m for tier in self.drum)

    def wound(self, turns: tuple[float, ...]) -> Car:
        """The same car wound with other turns, one number a tier in drum order.

        Raises ValueError when the count of turns is not the count of tiers.
        """
        tiers = (replace(t, turns=n) for t, n in zip(self.drum, turns, strict=True))
        return replace(self, drum=tuple(tiers))
