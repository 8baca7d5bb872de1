"""Which parts there are, and what a car file says of their measures."""

from __future__ import annotations

from collections.abc import Callable

from unspool.car import Car
from unspool.errors import Fault, InputError, all_faults
from unspool.workshop.choices import PartName
from unspool.workshop.modules import SensorKind
from unspool.workshop.parts.axle import drum, hub, pulley, wheels
from unspool.workshop.parts.bracket import bracket
from unspool.workshop.parts.encoder import disc, pattern
from unspool.workshop.parts.housing import cover, tray
from unspool.workshop.parts.measures import Measures
from unspool.workshop.parts.part import Part

GROUND_MM = 10.0  # between the disc's rim and the floor
WIDEST_DISC_MM = 60.0  # wide enough for 20 slots, and light

PARTS: dict[PartName, Callable[[Measures], Part]] = {
    PartName.DISC: disc,
    PartName.PATTERN: pattern,
    PartName.BRACKET: bracket,
    PartName.HUB: hub,
    PartName.TRAY: tray,
    PartName.COVER: cover,
}
CAR_PARTS: dict[PartName, Callable[[Measures, Car], Part]] = {
    PartName.DRUM: drum,
    PartName.WHEEL: wheels,
    PartName.PULLEY: pulley,
}


def make_part(name: PartName, measures: Measures, car: Car | None) -> Part:
    """One part, or all that the car needs. Raises InputError if it cannot be made."""
    if name is PartName.ALL:
        return _all(measures, car)
    if name in PARTS:
        return PARTS[name](measures)
    if car is None:
        raise InputError(f"a {name} is drawn from the car file: add --car FILE")
    return CAR_PARTS[name](measures, car)


def _all(measures: Measures, car: Car | None) -> Part:
    reflective = measures.sensor is SensorKind.REFLECTIVE
    encoder = [PartName.PATTERN] if reflective else [PartName.DISC, PartName.HUB]
    names = [*encoder, PartName.BRACKET, PartName.TRAY, PartName.COVER]
    if car is not None:
        names += [PartName.DRUM, PartName.WHEEL, *([PartName.PULLEY] if car.pulley else [])]
    made = [make_part(name, measures, car) for name in names]
    return Part(
        tuple(panel for part in made for panel in part.panels),
        tuple(note for part in made for note in part.notes),
    )


def from_car(car: Car) -> tuple[int, float]:
    """Slots, and the disc's diameter in millimetres, for a car's encoder.

    Raises InputError if no disc has that many edges.
    """
    edges = car.encoder.pulses_per_turn
    if edges % 2:
        even = "an even number: a slot has two edges"
        fault = Fault("[encoder] pulses_per_turn", f"{edges}", even)
        raise all_faults("no disc has so many edges", [fault])
    wheel_mm = 2e3 * car.encoder_wheel.radius_m
    return edges // 2, min(WIDEST_DISC_MM, wheel_mm - 2.0 * GROUND_MM)
