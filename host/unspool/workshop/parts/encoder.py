"""What the sensors look at: a slotted disc, a printed pattern, or a disc with magnets."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

from unspool.errors import Fault, InputError, all_faults
from unspool.workshop.disc import Disc
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import Circle, Outline, Point, Polygon, arc, polar, sector
from unspool.workshop.panel import Mark, Panel
from unspool.workshop.parts.measures import Measures
from unspool.workshop.parts.part import Part

MOST_MAGNETS = 8


def disc(measures: Measures) -> Part:
    """A slotted disc, or with a Hall switch a disc that carries magnets."""
    if measures.sensor is SensorKind.HALL:
        return _magnet_disc(measures)
    wanted = measures.disc()
    bore = Circle(measures.held_mm)
    holes: tuple[Outline, ...] = (bore, *measures.hub_holes(), *_slots(wanted))
    panel = Panel("disc", Circle(wanted.outer_mm), holes, marks=_sensors(wanted))
    return Part((panel,), _disc_notes(wanted))


def pattern(measures: Measures) -> Part:
    """Black and white sectors for two reflective sensors, to print and glue on the wheel.

    Raises InputError for a Hall switch.
    """
    if measures.sensor is SensorKind.HALL:
        raise InputError("a Hall switch looks at magnets: draw a disc for it, not a pattern")
    wanted = replace(measures, sensor=SensorKind.REFLECTIVE).disc()
    panel = Panel(
        "pattern",
        Circle(wanted.outer_mm),
        (Circle(measures.running_mm),),
        ink=_slots(wanted),
        marks=_sensors(wanted),
    )
    notes = (
        *_disc_notes(wanted),
        "Print with toner at 100 %: many inks let infrared through. White matt paper, no gloss.",
    )
    return Part((panel,), notes)


def _slots(disc: Disc) -> tuple[Polygon, ...]:
    """Slot 0 is centred on the top, the rest follow clockwise."""
    quarter = pi / (2.0 * disc.slots)
    middles = (2.0 * pi * index / disc.slots for index in range(disc.slots))
    inner, outer = disc.slot_inner_mm, disc.slot_outer_mm
    return tuple(sector(inner, outer, middle - quarter, middle + quarter) for middle in middles)


def _sensors(disc: Disc) -> tuple[Mark, ...]:
    """Ticks at the rim where the sensors sit, and an arrow for the wheel's forward turn."""
    rim = disc.outer_mm / 2.0
    marks = [
        Mark((polar(rim + 1.0, angle), polar(rim + 4.0, angle)), name, polar(rim + 6.5, angle))
        for name, angle in (("A", 0.0), ("B", radians(disc.sensor_b.angle_deg)))
    ]
    return (*marks, Mark(_arrow(rim + 3.0), "forward", (0.0, rim + 7.5)))


def _arrow(radius_mm: float) -> tuple[Point, ...]:
    start, end = pi - 0.3, pi + 0.3
    head = polar(radius_mm, end)
    barbs = (polar(radius_mm - 1.5, end - 0.08), head, polar(radius_mm + 1.5, end - 0.08))
    return (*arc(radius_mm, start, end), *barbs)


def _disc_notes(disc: Disc) -> tuple[str, ...]:
    place = disc.sensor_b
    way = "with" if place.quarter_pitches > 0 else "against"
    return (
        f"{disc.slots} slots, one each {disc.pitch_deg:.4g} deg; "
        f"{disc.edges_per_turn} edges a turn (pulses_per_turn = {disc.edges_per_turn})",
        f"Outside {disc.outer_mm:g} mm, slots from {2.0 * disc.slot_inner_mm:g} to "
        f"{2.0 * disc.slot_outer_mm:g} mm across",
        f"Both sensors on a circle of {2.0 * disc.sensor_radius_mm:g} mm across, where a slot is "
        f"{disc.slot_width_mm(disc.sensor_radius_mm):.2f} mm wide",
        f"Sensor B {abs(place.angle_deg):.4g} deg {way} the arrow from A: "
        f"{abs(place.quarter_pitches)} quarter pitches, {place.apart_mm:.1f} mm apart",
    )


def magnet_radius_mm(measures: Measures) -> float:
    """Radius on which magnets and Hall switch sit."""
    return measures.disc_mm / 2.0 - measures.rim_mm - measures.magnet_mm / 2.0


def _magnet_disc(measures: Measures) -> Part:
    count = measures.slots
    if not 1 <= count <= MOST_MAGNETS:
        fault = Fault("slots", f"{count}", f"from 1 to {MOST_MAGNETS} magnets")
        raise all_faults("the disc cannot be made as asked", [fault])
    radius_mm = magnet_radius_mm(measures)
    seats = (polar(radius_mm, 2.0 * pi * i / count) for i in range(count))
    magnets = (Circle(measures.magnet_mm - measures.press_mm, x, y) for x, y in seats)
    holes = (Circle(measures.held_mm), *measures.hub_holes(), *magnets)
    panel = Panel("magnet disc", Circle(measures.disc_mm), holes)
    notes = (
        f"{count} magnets of {measures.magnet_mm:g} mm on a circle of {2.0 * radius_mm:g} mm, all "
        f"with the same pole towards the switch; {2 * count} edges a turn",
        "Glue each magnet in: one that comes off at speed flies far.",
    )
    return Part((panel,), notes)
