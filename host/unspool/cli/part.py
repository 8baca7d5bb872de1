"""`unspool part`: parts to cut or print, as drawings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from unspool.cli.output_files import Force, refuse_to_replace, write_new
from unspool.cli.streams import console
from unspool.errors import InputError, with_other_names
from unspool.safe_text import visible
from unspool.workshop.choices import PAGES_MM, Colours, Form, PartName
from unspool.workshop.modules import BOARDS, SensorKind

if TYPE_CHECKING:
    from unspool.car import Car
    from unspool.workshop.sheet import Sheet

CAUTION = (
    "A cutter needs somebody beside it while it runs, and a laser needs an extraction. Never cut "
    "PVC, vinyl or another plastic with chlorine on a laser: its smoke is poisonous and destroys "
    "the machine. Follow the rules of the workshop and the person who is responsible for it."
)
T = TypeVar("T")

COLOUR = r"#[0-9a-fA-F]{6}"
WIDEST_KERF_MM = 2.0
# By which option a measure of a part is set, if it is one.
OPTIONS = {
    **{f"{name}_mm": f"--{name}-mm" for name in ("disc", "shaft", "thickness", "kerf", "press")},
    **{f"{name}_mm": f"--{name}-mm" for name in ("slack", "rim", "magnet", "peg", "tyre")},
    **{f"{name}_mm": f"--{name.replace('_', '-')}-mm" for name in ("module_width", "module_hole")},
    "gap_mm": "--gap-mm",
    "beam_mm": "--beam-mm",
    "slots": "--slots",
    "slot_length_mm": "--slot-length-mm",
    "board": "--board",
    "outer_mm": "--disc-mm",
    "bore_mm": "--shaft-mm",
    "sensor_gap_mm": "--sensor",
}


def part(
    name: Annotated[PartName, typer.Argument(help="What to draw; `all` is what the car needs.")],
    out: Annotated[Path, typer.Option(help="File to write: its name ends in .svg or .dxf.")],
    car: Annotated[Path | None, typer.Option(help="Car file that the measures come from.")] = None,
    slots: Annotated[
        int | None, typer.Option(help="Slots or magnets, instead of the car file's.")
    ] = None,
    disc_mm: Annotated[float | None, typer.Option(help="Diameter of the disc or pattern.")] = None,
    shaft_mm: Annotated[float, typer.Option(help="Diameter of the shaft, measured.")] = 4.0,
    thickness_mm: Annotated[float, typer.Option(help="Thickness of the material, measured.")] = 3.0,
    kerf_mm: Annotated[float, typer.Option(help="Width of the cut; measure it on a scrap.")] = 0.0,
    press_mm: Annotated[
        float, typer.Option(help="How much tighter a hole is that shall hold.")
    ] = 0.1,
    slack_mm: Annotated[
        float, typer.Option(help="How much wider a hole is in which a shaft turns.")
    ] = 0.2,
    rim_mm: Annotated[float, typer.Option(help="Material outside the slots.")] = 2.0,
    slot_length_mm: Annotated[float, typer.Option(help="Length of a slot.")] = 6.0,
    magnet_mm: Annotated[float, typer.Option(help="Diameter of a magnet.")] = 5.0,
    peg_mm: Annotated[float, typer.Option(help="Diameter of the drum's release peg.")] = 2.0,
    tyre_mm: Annotated[float, typer.Option(help="Thickness of the tyre.")] = 2.0,
    sensor: Annotated[SensorKind, typer.Option(help="What looks at the wheel.")] = SensorKind.FORK,
    module_width_mm: Annotated[
        float | None, typer.Option(help="Width of your sensor module.")
    ] = None,
    module_hole_mm: Annotated[
        float | None, typer.Option(help="From its screw hole to the middle of what it looks at.")
    ] = None,
    gap_mm: Annotated[
        float | None, typer.Option(help="Of a fork; of other sensors, to what they look at.")
    ] = None,
    beam_mm: Annotated[
        float | None, typer.Option(help="From a fork's beam to its circuit board.")
    ] = None,
    board: Annotated[str, typer.Option(help=f"One of {', '.join(BOARDS)}.")] = "nano",
    form: Annotated[Form, typer.Option(help="For a cutter or for a printer.")] = Form.CUT,
    sheet: Annotated[
        str | None, typer.Option(help=f"Sheet: {', '.join(PAGES_MM)}, or WIDTHxHEIGHT in mm.")
    ] = None,
    cut_colour: Annotated[str, typer.Option(help="Of lines to cut.")] = Colours().cut,
    engrave_colour: Annotated[str, typer.Option(help="Of lines to engrave.")] = Colours().engrave,
    force: Force = False,
) -> None:
    """Draw parts in true millimetres: encoder, bracket, hub, tray, cover, drum, wheels, pulley."""
    from unspool.car import load_car
    from unspool.workshop.parts.make import make_part
    from unspool.workshop.parts.measures import Measures
    from unspool.workshop.sheet import lay_out

    loaded = load_car(car) if car else None
    count, diameter_mm = _encoder(loaded, slots, disc_mm)
    kind = _kind(out, form)
    colours = Colours(_colour("cut", cut_colour), _colour("engrave", engrave_colour))
    try:
        measures = Measures(
            slots=count,
            disc_mm=diameter_mm,
            shaft_mm=shaft_mm,
            thickness_mm=thickness_mm,
            press_mm=press_mm,
            slack_mm=slack_mm,
            sensor=sensor,
            board=board,
            rim_mm=rim_mm,
            slot_length_mm=slot_length_mm,
            magnet_mm=magnet_mm,
            peg_mm=peg_mm,
            tyre_mm=tyre_mm,
            module_width_mm=module_width_mm,
            module_hole_mm=module_hole_mm,
            gap_mm=gap_mm,
            beam_mm=beam_mm,
        )
        made = make_part(name, measures, loaded)
        sheets = lay_out(made.panels, (*made.notes, *_how(form, kerf_mm)), _size(sheet))
        texts = [_text(one, kind, form, _kerf(kerf_mm), colours) for one in sheets]
    except InputError as error:
        if not error.faults:
            raise
        raise with_other_names(error, _option) from error
    files = _write(out, texts, force=force)
    _report(files, made.notes)


def _encoder(car: Car | None, slots: int | None, disc_mm: float | None) -> tuple[int, float]:
    """Slots and diameter from the options, and what they leave open from the car file."""
    from unspool.workshop.parts.make import WIDEST_DISC_MM, from_car

    if car is not None and (slots is None or disc_mm is None):
        slots_of_car, disc_of_car = from_car(car)
        return _given(slots, slots_of_car), _given(disc_mm, disc_of_car)
    if slots is None:
        raise InputError("the number of slots is not known: add --car FILE or --slots N")
    return slots, _given(disc_mm, WIDEST_DISC_MM)


def _given(option: T | None, otherwise: T) -> T:
    """What the user said, also if it is 0: that is refused, and not replaced."""
    return otherwise if option is None else option


def _kind(out: Path, form: Form) -> str:
    kind = out.suffix.lower()
    if kind not in (".svg", ".dxf"):
        raise InputError(f"{out}: the file's name must end in .svg or .dxf")
    if kind == ".dxf" and form is Form.PRINT:
        raise InputError("--form print fills areas with black, which a DXF has not: write an SVG")
    return kind


def _colour(name: str, text: str) -> str:
    if not re.fullmatch(COLOUR, text):
        found = visible(text)[:30]
        raise InputError(f"--{name}-colour: found {found}, expected a colour as #ff0000")
    return text.lower()


def _kerf(kerf_mm: float) -> float:
    if not 0.0 <= kerf_mm <= WIDEST_KERF_MM:
        raise InputError(f"--kerf-mm: found {kerf_mm:g}, expected from 0 to {WIDEST_KERF_MM:g}")
    return kerf_mm


def _size(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    if text.lower() in PAGES_MM:
        return PAGES_MM[text.lower()]
    found = re.fullmatch(r"(\d{2,4})x(\d{2,4})", text)
    if not found:
        names = ", ".join(PAGES_MM)
        raise InputError(f"--sheet: found {visible(text)[:30]}, expected {names} or 600x400")
    return float(found[1]), float(found[2])


def _how(form: Form, kerf_mm: float) -> tuple[str, str]:
    allowed = form is Form.CUT and kerf_mm
    allowance = (
        f"Kerf {kerf_mm:g} mm allowed for: cut along the lines, not beside them."
        if allowed
        else "No allowance for a kerf: the lines are the finished parts."
    )
    return allowance, "Measure this bar before use: it must be 50 mm long."


def _text(sheet: Sheet, kind: str, form: Form, kerf_mm: float, colours: Colours) -> str:
    from unspool.workshop.dxf import dxf_text
    from unspool.workshop.svg import svg_text

    if kind == ".dxf":
        return dxf_text(sheet, kerf_mm, colours)
    return svg_text(sheet, form, kerf_mm, colours)


def _option(where: str) -> str:
    """The option that sets a measure; a panel of the part keeps its name."""
    names = where.split(", ")
    return ", ".join(dict.fromkeys(OPTIONS.get(name, name) for name in names))


def _write(out: Path, texts: Sequence[str], *, force: bool) -> list[Path]:
    """One sheet to `out`, several to files with a number before the ending."""
    one = len(texts) == 1
    files = [
        out if one else out.with_stem(f"{out.stem}-{number}") for number in range(1, len(texts) + 1)
    ]
    for file in files:
        refuse_to_replace(file, force=force)  # all of them or none
    for file, text in zip(files, texts, strict=True):
        write_new(file, text, force=force)
    return files


def _report(files: Sequence[Path], notes: Sequence[str]) -> None:
    screen = console()
    screen.print(f"{', '.join(str(file) for file in files)}:", soft_wrap=True, markup=False)
    for note in (*notes, CAUTION):
        screen.print(note, soft_wrap=True, markup=False)
