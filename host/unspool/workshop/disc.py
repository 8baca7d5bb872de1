"""An encoder disc for two sensors in quadrature: its measures, and where the sensors sit.

The slots are as wide as the webs between them (duty 1/2), with sides that run to the centre, so
that every radius sees the same timing. Sensor B sits an odd number of quarter pitches from sensor
A: 1, 5, 9 ... in the direction of rotation, or 3, 7, 11 ... against it. All of these give the same
order of edges, which means forward.

All lengths in millimetres, angles in degrees. `outer_mm` and `bore_mm` are diameters of the
finished disc.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, pi, radians, sin

from unspool.errors import Fault, all_faults
from unspool.workshop.panel import THINNEST_MM

# Material that must stay between the bore and the slots for the disc to hold its hub.
HUB_MM = 2.0
MOST_SLOTS = 360


@dataclass(frozen=True)
class Placement:
    """Where sensor B sits: `quarter_pitches` from A, positive in the direction of rotation.

    apart_mm is the straight distance between the two sensors' centres.
    """

    quarter_pitches: int
    angle_deg: float
    apart_mm: float


@dataclass(frozen=True)
class Disc:
    """A finished disc. Raises InputError with every fault at once when it cannot be made."""

    slots: int
    outer_mm: float
    bore_mm: float
    rim_mm: float = 2.0
    slot_length_mm: float = 6.0
    sensor_gap_mm: float = 12.0

    def __post_init__(self) -> None:
        faults = tuple(_number_faults(self)) or tuple(_geometry_faults(self))
        if faults:
            raise all_faults("the disc cannot be made as asked", faults)

    @property
    def edges_per_turn(self) -> int:
        """Sensor A sees both sides of each slot."""
        return 2 * self.slots

    @property
    def pitch_deg(self) -> float:
        return 360.0 / self.slots

    @property
    def slot_outer_mm(self) -> float:
        """Radius at which the slots end."""
        return self.outer_mm / 2.0 - self.rim_mm

    @property
    def slot_inner_mm(self) -> float:
        """Radius at which the slots begin."""
        return self.slot_outer_mm - self.slot_length_mm

    @property
    def sensor_radius_mm(self) -> float:
        """Radius on which both sensors look at the disc: the middle of the slots."""
        return (self.slot_outer_mm + self.slot_inner_mm) / 2.0

    def slot_width_mm(self, radius_mm: float) -> float:
        """Width of a finished slot along the circle of one radius; the webs are as wide."""
        return pi * radius_mm / self.slots

    @property
    def sensor_b(self) -> Placement:
        """The nearest place for sensor B that keeps the sensors `sensor_gap_mm` apart."""
        return _placement(self)


def _placement(disc: Disc) -> Placement:
    quarter_deg = disc.pitch_deg / 4.0
    quarters = 1
    while _chord_mm(disc.sensor_radius_mm, quarters * quarter_deg) < disc.sensor_gap_mm:
        quarters += 2
    signed = quarters if quarters % 4 == 1 else -quarters
    apart = _chord_mm(disc.sensor_radius_mm, quarters * quarter_deg)
    return Placement(signed, signed * quarter_deg, apart)


def _chord_mm(radius_mm: float, angle_deg: float) -> float:
    return 2.0 * radius_mm * sin(radians(angle_deg) / 2.0)


def _number_faults(disc: Disc) -> Iterator[Fault]:
    if not 2 <= disc.slots <= MOST_SLOTS:
        yield Fault("slots", f"{disc.slots}", f"a whole number from 2 to {MOST_SLOTS}")
    for name in ("outer_mm", "bore_mm", "rim_mm", "slot_length_mm"):
        yield from _unless(name, getattr(disc, name), positive=True)
    yield from _unless("sensor_gap_mm", disc.sensor_gap_mm, positive=False)


def _unless(name: str, value: float, *, positive: bool) -> Iterator[Fault]:
    if not isfinite(value) or value < 0.0 or (positive and value == 0.0):
        yield Fault(name, f"{value:g}", "a length above 0" if positive else "a length of 0 or more")


def _geometry_faults(disc: Disc) -> Iterator[Fault]:
    hub = disc.slot_inner_mm - disc.bore_mm / 2.0
    if hub < HUB_MM:
        room = disc.outer_mm / 2.0 - disc.bore_mm / 2.0 - HUB_MM
        yield Fault(
            "outer_mm, bore_mm, rim_mm, slot_length_mm",
            f"{hub:.1f} mm between bore and slots",
            f"{HUB_MM:g} mm or more: rim and slots together may take {max(room, 0.0):.1f} mm",
        )
        return
    yield from _width_faults(disc)
    yield from _sensor_faults(disc)


def _width_faults(disc: Disc) -> Iterator[Fault]:
    narrowest = disc.slot_width_mm(disc.slot_inner_mm)
    if narrowest < THINNEST_MM:
        yield Fault(
            "slots",
            f"{disc.slots}, which leaves slots of {narrowest:.2f} mm",
            f"at most {int(pi * disc.slot_inner_mm / THINNEST_MM)} at this size",
        )
    if disc.rim_mm < THINNEST_MM:
        yield Fault("rim_mm", f"{disc.rim_mm:g}", f"at least {THINNEST_MM:g}")


def _sensor_faults(disc: Disc) -> Iterator[Fault]:
    # The last odd quarter that is still on the near half of the disc.
    most = 2 * disc.slots - 1
    widest = _chord_mm(disc.sensor_radius_mm, most * disc.pitch_deg / 4.0)
    if disc.sensor_gap_mm > widest:
        yield Fault("sensor_gap_mm", f"{disc.sensor_gap_mm:g}", f"at most {widest:.1f} on it")
