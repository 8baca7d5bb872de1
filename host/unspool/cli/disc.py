"""`unspool disc`: encoder discs as drawings."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.cli.output_files import Force, write_new
from unspool.cli.streams import console
from unspool.errors import Fault, InputError
from unspool.workshop import Disc, Form, draw
from unspool.workshop.disc import refusal

CAUTION = (
    "A cutter needs somebody beside it while it runs, and a laser needs an extraction. "
    "Follow the rules of the workshop and the person who is responsible for it."
)


def disc(
    slots: Annotated[int, typer.Option(help="Slots; one turn gives twice as many edges.")],
    outer_mm: Annotated[float, typer.Option(help="Diameter of the finished disc.")],
    bore_mm: Annotated[float, typer.Option(help="Diameter of the hole for the axle or hub.")],
    out: Annotated[Path, typer.Option(help="SVG file to write.")],
    kerf_mm: Annotated[
        float, typer.Option(help="Width of the cut; with 0 the drawing does not allow for it.")
    ] = 0.0,
    rim_mm: Annotated[float, typer.Option(help="Material outside the slots.")] = 2.0,
    slot_length_mm: Annotated[
        float, typer.Option(help="Length of a slot, along the radius.")
    ] = 6.0,
    sensor_gap_mm: Annotated[
        float, typer.Option(help="Least distance from sensor to sensor.")
    ] = 12.0,
    form: Annotated[Form, typer.Option(help="For a cutter or for a printer.")] = Form.CUT,
    force: Force = False,
) -> None:
    """Draw an encoder disc in true millimetres and say where its sensors sit."""
    try:
        wanted = Disc(slots, outer_mm, bore_mm, kerf_mm, rim_mm, slot_length_mm, sensor_gap_mm)
    except InputError as error:
        raise refusal(tuple(_as_options(f) for f in error.faults)) from error
    write_new(out, draw(wanted, form), force=force)
    place = wanted.sensor_b
    way = "in" if place.quarter_pitches > 0 else "against"
    screen = console()
    screen.print(f"{out}: {slots} slots, {wanted.edges_per_turn} edges a turn.", soft_wrap=True)
    screen.print(
        f"Sensor B: {abs(place.angle_deg):.4g} deg from A {way} the direction of rotation, "
        f"both on a circle of {2 * wanted.sensor_radius_mm:g} mm."
    )
    screen.print(CAUTION)


def _as_options(fault: Fault) -> Fault:
    names = ", ".join(f"--{name.replace('_', '-')}" for name in fault.where.split(", "))
    return Fault(names, fault.found, fault.expected)
