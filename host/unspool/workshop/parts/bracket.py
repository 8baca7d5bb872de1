"""The bracket: holds both sensors at the computed angle, at the radius at which they look.

A fork stands outside the disc and looks inwards, so its circuit board lies across the radius.
Each fork gets a foot that stands out from the plate on a tenon. Makers put the fork either way
round on its circuit board. So the foot has two slots: the screw sits further from the plate than
the beam, or beside it. The other sensors look along the axle and lie flat on the plate.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, radians

from unspool.errors import Fault, all_faults
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import (
    Circle,
    Outline,
    Polygon,
    hull,
    oblong,
    polar,
    rectangle,
    turned,
)
from unspool.workshop.panel import Mark, Panel
from unspool.workshop.parts.encoder import magnet_radius_mm
from unspool.workshop.parts.measures import Measures
from unspool.workshop.parts.part import Part

CIRCUIT_BOARD_MM = 1.6
TENON_MM = 10.0
EDGE_MM = 4.0  # material around an opening
PLATE_TO_DISC_MM = 14.0  # a fork's nearer arm and a nut fit between
SCREW_TRAVEL_MM = 8.0  # the fork is shifted until the disc runs in the middle of its gap
BASE_MM = (44.0, 12.0)
BASE_HOLE_MM = 3.2
BASE_HOLES_APART_MM = 32.0
AROUND_SHAFT_MM = 6.0


def bracket(measures: Measures) -> Part:
    """Raises InputError if the sensors do not reach the slots, or their holes meet."""
    if measures.sensor is SensorKind.FORK:
        _refuse_short_fork(measures)
        feet: tuple[Panel, ...] = (_foot(measures),)
    else:
        feet = ()
    return Part((_plate(measures), *feet), _notes(measures))


def sensor_radius_mm(measures: Measures) -> float:
    """Radius at which the sensors look."""
    if measures.sensor is SensorKind.HALL:
        return magnet_radius_mm(measures)
    return measures.disc().sensor_radius_mm


def sensor_angles_rad(measures: Measures) -> tuple[float, ...]:
    """Where the sensors sit, clockwise from the top; a Hall switch is alone."""
    if measures.sensor is SensorKind.HALL:
        return (0.0,)
    return 0.0, radians(measures.disc().sensor_b.angle_deg)


def outermost_mm(measures: Measures) -> float:
    """Radius beyond which nothing of the bracket's sensors reaches."""
    if measures.sensor is SensorKind.FORK:
        radius_mm = _foot_radius_mm(measures) + measures.thickness_mm / 2.0
        return hypot(radius_mm, _foot_side_mm(measures)) + EDGE_MM
    return sensor_radius_mm(measures) + measures.module.hole_from_beam_mm + 2.0 * EDGE_MM


def depth_mm(measures: Measures) -> float:
    """From the plate to the end of all that stands out from it."""
    if measures.sensor is SensorKind.FORK:
        return _foot_length_mm(measures)
    return measures.module.gap_mm + 2.0 * measures.thickness_mm + 5.0


def _foot_radius_mm(measures: Measures) -> float:
    """Radius of the middle of a foot's thickness, outside the fork's circuit board."""
    inside = measures.module.above_board_mm + CIRCUIT_BOARD_MM
    return sensor_radius_mm(measures) + inside + measures.thickness_mm / 2.0


def _foot_length_mm(measures: Measures) -> float:
    return PLATE_TO_DISC_MM + measures.module.hole_from_beam_mm + SCREW_TRAVEL_MM / 2.0 + 6.0


def _foot_side_mm(measures: Measures) -> float:
    """How far a foot reaches sideways from its beam, to the side that is away from the other."""
    module = measures.module
    return module.hole_from_beam_mm + module.hole_mm / 2.0 + EDGE_MM


def _plate(measures: Measures) -> Panel:
    base_y = measures.hub_mm / 2.0 + BASE_MM[1]
    openings = tuple(
        turned(hole, angle) for angle in sensor_angles_rad(measures) for hole in _openings(measures)
    )
    around = Circle(measures.shaft_mm + 2.0 * AROUND_SHAFT_MM)
    solid = [*_grown(openings), Circle(around.diameter_mm + 4.0 * EDGE_MM)]
    outer = hull([*solid, rectangle(*BASE_MM, 0.0, base_y)])
    sides = (-BASE_HOLES_APART_MM / 2.0, BASE_HOLES_APART_MM / 2.0)
    screws = tuple(Circle(BASE_HOLE_MM, x, base_y + 1.0) for x in sides)
    names = tuple(_names(measures))
    return Panel("bracket", outer, (around, *openings, *screws), marks=names)


def _names(measures: Measures) -> Iterator[Mark]:
    openings = [opening.area().bounds[3] for opening in _openings(measures)]
    free_mm = -max(openings), measures.shaft_mm / 2.0 + AROUND_SHAFT_MM
    for name, angle in zip("AB", sensor_angles_rad(measures), strict=False):
        yield Mark(text=name, at=polar(sum(free_mm) / 2.0, angle))


def _openings(measures: Measures) -> tuple[Outline, ...]:
    """The openings for a sensor at the top."""
    module = measures.module
    if measures.sensor is SensorKind.FORK:
        slot_mm = measures.thickness_mm - measures.press_mm
        return (rectangle(TENON_MM - measures.press_mm, slot_mm, 0.0, -_foot_radius_mm(measures)),)
    radius_mm = sensor_radius_mm(measures)
    window = rectangle(*module.body_mm, 0.0, -radius_mm)
    return window, Circle(module.hole_mm, 0.0, -(radius_mm + module.hole_from_beam_mm))


def _grown(outlines: tuple[Outline, ...]) -> Iterator[Outline]:
    for outline in outlines:
        if isinstance(outline, Circle):
            yield Circle(outline.diameter_mm + 2.0 * EDGE_MM, outline.x_mm, outline.y_mm)
        else:
            yield from (Circle(2.0 * EDGE_MM, x, y) for x, y in outline.corners)


def _foot(measures: Measures) -> Panel:
    """One for each fork; y runs away from the plate, whose face is at 0. Turned over, it is B's."""
    half, tenon = measures.module.width_mm / 2.0 + 1.0, TENON_MM / 2.0
    side = _foot_side_mm(measures)
    length_mm, thick = _foot_length_mm(measures), measures.thickness_mm
    tab = ((-tenon, 0.0), (-tenon, -thick), (tenon, -thick), (tenon, 0.0))
    outer = Polygon((*tab, (half, 0.0), (half, length_mm), (-side, length_mm), (-side, 0.0)))
    hole_mm, away_mm = measures.module.hole_mm, measures.module.hole_from_beam_mm
    long_mm = hole_mm + SCREW_TRAVEL_MM
    behind = oblong(hole_mm, long_mm, 0.0, PLATE_TO_DISC_MM + away_mm)
    beside = oblong(hole_mm, long_mm, -away_mm, PLATE_TO_DISC_MM)
    return Panel("sensor foot", outer, (behind, beside), count=2)


def _refuse_short_fork(measures: Measures) -> None:
    inside = measures.rim_mm + measures.slot_length_mm / 2.0
    reach = measures.module.reach_mm
    if inside > reach - 0.5:
        fault = Fault(
            "rim_mm, slot_length_mm",
            f"a beam {inside:g} mm inside the rim",
            f"at most {reach - 0.5:g} mm: the disc would touch the floor of the fork",
        )
        raise all_faults("the sensors do not reach the slots", [fault])
    if measures.thickness_mm > measures.module.gap_mm - 1.0:
        fault = Fault(
            "thickness_mm",
            f"{measures.thickness_mm:g}",
            f"at most {measures.module.gap_mm - 1.0:g} for a gap of {measures.module.gap_mm:g} mm",
        )
        raise all_faults("the disc does not run free in the forks", [fault])


def _notes(measures: Measures) -> tuple[str, ...]:
    module = measures.module
    across = 2.0 * sensor_radius_mm(measures)
    drawn = (
        f"Bracket for {measures.sensor.value} sensors {module.width_mm:g} mm wide, screw hole "
        f"{module.hole_mm:g} mm, {module.hole_from_beam_mm:g} mm from what the sensor looks at.",
        f"The sensors look at a circle of {across:g} mm. Compare with yours before you cut.",
    )
    if measures.sensor is SensorKind.FORK:
        return (
            *drawn,
            f"Beam {module.above_board_mm:g} mm above the fork's circuit board, gap of "
            f"{module.gap_mm:g} mm. If the beam lies lower, put card under the circuit board.",
            f"Disc {PLATE_TO_DISC_MM:g} mm from the plate; shift the forks until it runs in the "
            "middle of their gaps.",
            "Each foot has two slots, for either way round that a fork stands on its board. Turn "
            "one foot over: the wide sides point away from each other.",
        )
    return (*drawn, f"Sensor faces {module.gap_mm:g} mm from what they look at.")
