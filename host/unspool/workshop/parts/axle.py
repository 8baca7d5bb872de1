"""What sits on an axle: hub, drum, wheels and the tower's pulley, all as stacks of panels."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from unspool.car import Car, Tier
from unspool.errors import Fault, all_faults
from unspool.workshop.outline import Circle, polygon_of, rectangle
from unspool.workshop.panel import Panel
from unspool.workshop.parts.measures import Measures
from unspool.workshop.parts.part import Part

LOOSE_WINDING = 1.15  # hand-wound string takes more room than its diameter
PEG_OUT_MM = 3.0  # the loop needs that much to lie on
PEG_IN_MM = 4.0  # and the peg that much to hold


def hub(measures: Measures) -> Part:
    """Two rings that hold a disc between them: press the shaft in, screw through all three."""
    ring = Panel(
        "hub", Circle(measures.hub_mm), (Circle(measures.held_mm), *measures.hub_holes()), count=2
    )
    notes = (
        f"Hub: disc between the two rings, {len(measures.hub_holes())} screws M3 through all.",
        f"Bore {measures.held_mm:g} mm for a shaft of {measures.shaft_mm:g} mm: press it on.",
    )
    return Part((ring,), notes)


def drum(measures: Measures, car: Car) -> Part:
    """Discs of each tier's diameter, as many as its string needs, between two flanges."""
    string_mm = car.string_diameter_m * 1e3
    rims_mm = [d for tier in car.drum for d in _tier_discs(tier, string_mm, measures)]
    flange_mm = max(rims_mm) + 2.0 * max(4.0 * string_mm, 3.0)
    core = tuple(_core_panels(car, string_mm, measures))
    last_mm = rims_mm[-1]
    hole = Circle(max(2.0 * string_mm, 1.0), 0.0, -(last_mm / 2.0 + max(string_mm, 1.0)))
    flange = Panel("flange", Circle(flange_mm), (Circle(measures.held_mm),))
    tied = Panel("flange at the peg", Circle(flange_mm), (Circle(measures.held_mm), hole))
    notes = (
        "Drum: stack flange, tiers in order, flange at the peg; glue them on the shaft in line.",
        f"The string is wound from the last tier to the first. Its loop hangs on the peg of "
        f"{measures.peg_mm:g} mm in the notch of the last tier, which stands out "
        f"{PEG_OUT_MM:g} mm and points straight out.",
        "The hole in its flange is for a string that shall stay tied.",
    )
    return Part((flange, *core, tied), notes)


def _tier_discs(tier: Tier, string_mm: float, measures: Measures) -> list[float]:
    """Diameters of a tier's discs, from the first in unwinding order; a taper goes in steps."""
    width_mm = tier.turns * string_mm * LOOSE_WINDING
    count = max(1, ceil(width_mm / measures.thickness_mm))
    first, last = (2e3 * r - string_mm for r in (tier.radius_m, tier.end_radius_m))
    return [first + (last - first) * (i + 0.5) / count for i in range(count)]


def _core_panels(car: Car, string_mm: float, measures: Measures) -> Iterator[Panel]:
    for index, tier in enumerate(car.drum):
        final = index == len(car.drum) - 1
        rims_mm = _tier_discs(tier, string_mm, measures)
        for number, rim_mm in enumerate(rims_mm, 1):
            _refuse_thin(tier, rim_mm, measures)
            notch = final and number == len(rims_mm)
            name = f"tier {tier.name}" + (f" {number}" if tier.tapered else "")
            if tier.tapered or notch:
                yield _core(f"{name} with notch" if notch else name, rim_mm, measures, notch)
            elif number == 1:
                plain = len(rims_mm) - (1 if final else 0)
                yield _core(name, rim_mm, measures, False, plain)


def _core(name: str, rim_mm: float, measures: Measures, notch: bool, count: int = 1) -> Panel:
    """A disc of a tier. A notch from the rim is part of the outline."""
    outline = Circle(rim_mm)
    if not notch:
        return Panel(name, outline, (Circle(measures.held_mm),), count=count)
    width_mm = measures.peg_mm - measures.press_mm
    cut = rectangle(width_mm, 2.0 * PEG_IN_MM, 0.0, -rim_mm / 2.0)
    notched = polygon_of(outline.area().difference(cut.area()))
    return Panel(name, notched, (Circle(measures.held_mm),))


def _refuse_thin(tier: Tier, rim_mm: float, measures: Measures) -> None:
    least_mm = measures.shaft_mm + 2.0 * PEG_IN_MM + 3.0
    if rim_mm < least_mm:
        fault = Fault(
            f"tier {tier.name}",
            f"{rim_mm:.1f} mm",
            f"{least_mm:g} mm or more on a shaft of {measures.shaft_mm:g} mm: turn it from one "
            "piece instead, or take a thinner shaft",
        )
        raise all_faults("the drum cannot be stacked from discs", [fault])


def wheels(measures: Measures, car: Car) -> Part:
    """A disc for each wheel, smaller by its tyre; driven wheels sit tight, the others turn."""
    panels = []
    for wheel in car.wheels:
        rim_mm = 2e3 * wheel.radius_m - 2.0 * measures.tyre_mm
        bore_mm = measures.held_mm if wheel.driven else measures.running_mm
        holes = (Circle(bore_mm), *(measures.hub_holes() if wheel.driven else ()))
        panels.append(Panel(f"wheel {wheel.name}", Circle(rim_mm), holes, count=wheel.count))
        if wheel.driven:
            ring = f"ring on wheel {wheel.name}"
            panels.append(Panel(ring, Circle(measures.hub_mm), holes, count=wheel.count))
    notes = (
        f"Wheels: smaller by a tyre of {measures.tyre_mm:g} mm on all sides. Roll the car out "
        "afterwards.",
        "Driven wheels sit tight on their shaft, each with a ring that three screws M3 hold. The "
        "others turn on it.",
    )
    return Part(tuple(panels), notes)


def pulley(measures: Measures, car: Car) -> Part:
    """The tower's pulley: a core between two flanges, turning on its pin."""
    if car.pulley is None:
        fault = Fault("[pulley]", "none", "a pulley in the car file")
        raise all_faults("there is no pulley to draw", [fault])
    string_mm = car.string_diameter_m * 1e3
    core_mm = 2e3 * car.pulley.radius_m
    flange_mm = core_mm + 2.0 * max(4.0 * string_mm, 3.0)
    bore = (Circle(measures.running_mm),)
    flanges = Panel("pulley flange", Circle(flange_mm), bore, count=2)
    notes = (
        f"Pulley: core of {core_mm:.4g} mm between two flanges; it must turn freely on its pin.",
    )
    return Part((Panel("pulley core", Circle(core_mm), bore), flanges), notes)
