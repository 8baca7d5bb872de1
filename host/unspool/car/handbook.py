"""What a car loses before any run shows it: handbook ranges, by what turns in what.

A journal of friction mu and radius r in a wheel of radius R holds the car as a rolling coefficient
mu r / R does. A ball bearing of bore d holds it, by its catalogue, as mu d / 2 R. The tyre's own
rolling comes on top, by the floor that it rolls on. Each axle counts with its share of the car's
weight. In the drive, string and pulley lose their share, and the string's pull presses the driven
axle into its bearings: mu r over the drum's radius.

Sources:

- SKF, Rolling bearings, table 1: open and oiled ball bearings 0.001 to 0.0024. Small, greased or
  sealed ones take many times more.
- OpenStax, University Physics 1, table 6.1: sliding wood on wood 0.3, metal on wood 0.3, dry steel
  0.3, oiled 0.03. Wood Science 2(3), 1970: pine on steel 0.10 to 0.25.
- The Engineering ToolBox, rolling resistance: steel on rail 0.001 to 0.002, bicycle tyre 0.001 on
  wood, 0.002 on concrete and 0.004 on asphalt, car tyre 0.010 to 0.015.
- Munson and others, Fundamentals of Fluid Mechanics, figure 9.20: a cube's drag coefficient 1.05.
- Matthews, Aeronautical Engineer's Data Book, figure 5.13: a square plate's 1.17, a cylinder's
  along the flow 0.85.
- Foam and carpet, grease and seals, and the size of towers: common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, log, pi, sqrt

from unspool.car.measured import EFFICIENCY_HIGH, EFFICIENCY_LOW
from unspool.car.vehicle import Bearing, Car, Geometry, Losses, Tier, Wheel
from unspool.intervals import HALF_IN_SDS


@dataclass(frozen=True)
class Spread:
    """A positive number with a log-normal law: 90 % lie within `factor` of the usual value."""

    usual: float
    factor: float

    @property
    def mean(self) -> float:
        return self.usual * exp(0.5 * self._log_sd**2)

    @property
    def sd(self) -> float:
        return self.mean * sqrt(exp(self._log_sd**2) - 1.0)

    @property
    def _log_sd(self) -> float:
        return log(self.factor) / HALF_IN_SDS


# Friction of journals and ball bearings, and the rolling coefficient of tyres on a smooth floor.
JOURNALS = {"plain": Spread(0.2, 2.5), "ball": Spread(0.005, 3.0)}
TYRES = {"hard": Spread(0.004, 2.5), "rubber": Spread(0.010, 2.0), "foam": Spread(0.018, 2.0)}
# How many times as hard as on a smooth floor a tyre rolls on others.
FLOORS = {"smooth": Spread(1.0, 1.2), "rough": Spread(1.6, 1.5), "carpet": Spread(3.0, 1.7)}
# For want of any word in the file: from a ball-bearing racer to wooden shafts in plastic tubes.
ANY_CAR = Spread(0.012, 5.0)
ANY_BEARING = Spread(0.004, 8.0)  # already as a rolling coefficient
ANY_TYRE = Spread(0.007, 2.5)
ANY_FLOOR = Spread(1.0, 1.4)
# A ball bearing's bore if the file does not say it; hardly anything depends on it.
USUAL_BORE_M = 0.006
# What holds a car at rest over what it rolls against. At rest journals hold half as much again
# (wood on wood 0.5 to 0.3, oiled steel 0.05 to 0.03). What is above 1 is known within a factor.
AT_REST = {"plain": 1.5, "ball": 1.25}
USUAL_AT_REST = 1.25
AT_REST_FACTOR = 4.0
# The share of a drive's pull that is lost, for any drive and for string and pulley alone.
ANY_DRIVE = Spread(
    sqrt((1.0 - EFFICIENCY_LOW) * (1.0 - EFFICIENCY_HIGH)),
    sqrt((1.0 - EFFICIENCY_LOW) / (1.0 - EFFICIENCY_HIGH)),
)
STRING_AND_PULLEY = Spread(0.08, 2.2)
# Means of exponential laws, by which small is likelier than large: 90 % have less than 2.3 times as
# much. In N, what no weight presses: grease, seals, parts that rub. An oiled ball bearing of 6 mm
# under 18 N holds a wheel of 60 mm with 0.0014 N by its catalogue. Four greased or sealed ones take
# from nothing to some 35 times of that, 0.05 N.
CONSTANT_DRAG_MEAN_N = 0.022
# In N s/m: what grease and a string's windage take as they move. At 1 m/s as much as the constant.
LINEAR_DRAG_MEAN_N_S_PER_M = 0.02
# Drag coefficients of bluff towers, 0.8 to 1.2, times frontal areas of 50 to 300 cm2.
ANY_DRAG_AREA_M2 = Spread(sqrt(0.8 * 50e-4 * 1.2 * 300e-4), sqrt(1.2 * 300e-4 / (0.8 * 50e-4)))


@dataclass(frozen=True)
class Part:
    """A part of a loss: `amount` times a number of this spread, and `floor` times, if it rolls.

    name: parts of one name share the number. at_rest: how much harder the part holds a car at rest.
    """

    name: str
    amount: float
    spread: Spread
    rolls: bool = False
    at_rest: float = USUAL_AT_REST


@dataclass(frozen=True)
class LossPrior:
    """The rolling coefficient, the drive's lost share, and the floor's factor as sums of parts."""

    rolling: tuple[Part, ...]
    drive: tuple[Part, ...]
    floor: Spread

    @property
    def says_rolling(self) -> bool:
        """Whether the car file says anything of bearings, tyres or floor."""
        return self.rolling[0].spread is not ANY_CAR

    @property
    def says_drive(self) -> bool:
        """Whether the car file says what the driven axle turns in."""
        return self.drive[0].spread is not ANY_DRIVE

    @property
    def usual_rolling(self) -> float:
        return sum(part.amount * part.spread.usual * self._factor(part) for part in self.rolling)

    @property
    def rolling_moments(self) -> tuple[float, float]:
        """Mean and standard deviation of the rolling coefficient; the parts are independent."""
        firm, firm_sd = _moments([part for part in self.rolling if not part.rolls])
        rolls, rolls_sd = _moments([part for part in self.rolling if part.rolls])
        floor, floor_sd = self.floor.mean, self.floor.sd
        on_floor = hypot(rolls * floor_sd, rolls_sd * floor, rolls_sd * floor_sd)
        return firm + rolls * floor, hypot(firm_sd, on_floor)

    @property
    def usual_at_rest(self) -> float:
        """What usually holds the car at rest, as a coefficient."""
        return sum(
            part.at_rest * part.amount * part.spread.usual * self._factor(part)
            for part in self.rolling
        )

    @property
    def usual_efficiency(self) -> float:
        return 1.0 - sum(part.amount * part.spread.usual for part in self.drive)

    @property
    def efficiency_ends(self) -> tuple[float, float]:
        """Between which 90 % of such drives are: their lost shares have a log-normal law."""
        mean, sd = _moments(self.drive)
        spread = log(1.0 + (sd / mean) ** 2)
        middle, factor = mean * exp(-0.5 * spread), exp(HALF_IN_SDS * sqrt(spread))
        return 1.0 - middle * factor, 1.0 - middle / factor

    def _factor(self, part: Part) -> float:
        return self.floor.usual if part.rolls else 1.0


def loss_prior(car: Car) -> LossPrior:
    """What is known of the losses of this car before any run, whatever its file says of them."""
    return prior_of_parts(car.wheels, car.drum, car.geometry, car.losses.floor)


def prior_of_parts(
    wheels: Sequence[Wheel], drum: Sequence[Tier], geometry: Geometry | None, floor: str | None
) -> LossPrior:
    """As loss_prior, of the parts that turn."""
    bearing = next(wheel.bearing for wheel in wheels if wheel.driven)
    drive = [Part("drive", 1.0, ANY_DRIVE)]
    if bearing is not None:
        pressed = _turning(bearing, _mean_radius(drum))
        drive = [Part("string", 1.0, STRING_AND_PULLEY), pressed]
    if floor is None and not any(wheel.bearing or wheel.tyre for wheel in wheels):
        return LossPrior((Part("car", 1.0, ANY_CAR),), tuple(drive), Spread(1.0, 1.0))
    rolling: list[Part] = []
    for wheel, share in zip(wheels, load_shares(wheels, geometry), strict=True):
        rolling += [_journal(wheel, share), _tyre(wheel, share)]
    known = ANY_FLOOR if floor is None else FLOORS[floor]
    return LossPrior(tuple(_merged(rolling)), tuple(drive), known)


def load_shares(wheels: Sequence[Wheel], geometry: Geometry | None) -> list[float]:
    """The share of the car's weight on each set of wheels; by their numbers without a geometry.

    Sets that are not driven share, by number, what the driven axle leaves.
    """
    count = sum(wheel.count for wheel in wheels)
    others = sum(wheel.count for wheel in wheels if not wheel.driven)
    if geometry is None or others == 0:
        return [wheel.count / count for wheel in wheels]
    driven = 1.0 - geometry.centre_of_mass_to_driven_axle_m / geometry.wheelbase_m
    return [driven if w.driven else (1.0 - driven) * w.count / others for w in wheels]


def _journal(wheel: Wheel, share: float) -> Part:
    if wheel.bearing is None:
        return Part("bearing", share, ANY_BEARING)
    turning = _turning(wheel.bearing, wheel.radius_m)
    return replace(turning, amount=share * turning.amount)


def _turning(bearing: Bearing, radius_m: float) -> Part:
    """A bearing's friction as a share of the pull at radius_m."""
    amount = bearing.radius_m(USUAL_BORE_M) / radius_m
    return Part(bearing.kind, amount, JOURNALS[bearing.kind], at_rest=AT_REST[bearing.kind])


def _tyre(wheel: Wheel, share: float) -> Part:
    if wheel.tyre is None:
        return Part("tyre", share, ANY_TYRE, rolls=True)
    return Part(wheel.tyre, share, TYRES[wheel.tyre], rolls=True)


def _mean_radius(drum: Sequence[Tier]) -> float:
    """The drum's radius by string: the string's length over the angle that it turns the drum."""
    string = sum(tier.string_m for tier in drum)
    return string / (2.0 * pi * sum(tier.turns for tier in drum))


def _merged(parts: Sequence[Part]) -> list[Part]:
    """One part for each name."""
    names = dict.fromkeys(part.name for part in parts)
    same = {name: [part for part in parts if part.name == name] for name in names}
    return [replace(some[0], amount=sum(part.amount for part in some)) for some in same.values()]


def _moments(parts: Sequence[Part]) -> tuple[float, float]:
    """Mean and standard deviation of the sum of these parts."""
    mean = sum(part.amount * part.spread.mean for part in parts)
    return mean, hypot(*(part.amount * part.spread.sd for part in parts))


def with_usual_losses(car: Car) -> Car:
    """The car with the usual value of each loss that its file leaves out, by what turns in what."""
    prior, losses = loss_prior(car), car.losses
    if prior.says_rolling and "rolling_coefficient" in losses.assumed:
        losses = _with_rolling(losses, prior)
    if prior.says_drive and "drive_efficiency" in losses.assumed:
        losses = replace(losses, drive_efficiency=prior.usual_efficiency)
    return replace(car, losses=losses)


def _with_rolling(losses: Losses, prior: LossPrior) -> Losses:
    """The usual rolling and break-away; a break-away that the file gives bounds the rolling."""
    if "break_away_coefficient" in losses.assumed:
        hold = prior.usual_at_rest
        return replace(losses, rolling_coefficient=prior.usual_rolling, break_away_coefficient=hold)
    rolling = min(prior.usual_rolling, losses.break_away_coefficient)
    return replace(losses, rolling_coefficient=rolling)
