"""`unspool sweep`: which sizes a car should have, before it is built."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.output_files import Force, PageFile, refuse_to_replace, write_new
from unspool.cli.plan import (
    CountsName,
    GoalName,
    Mark,
    StartMargin,
    StringMargin,
    TippingMargin,
    TractionMargin,
    limits_of,
)
from unspool.cli.sources import AsJson, TrackFile, track_of
from unspool.cli.streams import console, print_json
from unspool.errors import one_fault

if TYPE_CHECKING:
    from unspool.study.sweep import Axis

RANGE = "a range such as 8:24, one with its steps such as 8:24:9, or values such as 8,10,12"

TierRange = Annotated[
    list[str] | None,
    typer.Option(metavar="TIER=MM:MM", help="A range of a tier's diameter; can be repeated."),
]
WheelRange = Annotated[
    str | None, typer.Option(metavar="MM:MM", help="A range of the driven wheels' diameter.")
]
WheelMass = Annotated[
    float | None,
    typer.Option(help="With --wheel-mm: the mass of each wheel. Without it, by its size."),
]
WeightRange = Annotated[
    str | None, typer.Option(metavar="G:G", help="A range of the falling weight.")
]
DropRange = Annotated[str | None, typer.Option(metavar="MM:MM", help="A range of the drop.")]


def sweep(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    tier: TierRange = None,
    wheel_mm: WheelRange = None,
    wheel_g: WheelMass = None,
    weight_g: WeightRange = None,
    drop_mm: DropRange = None,
    track: TrackFile = None,
    goal: GoalName = "farthest",
    distance: Mark = None,
    counts: CountsName = "rest",
    start_margin: StartMargin = None,
    traction_margin: TractionMargin = None,
    tipping_margin: TippingMargin = None,
    string_margin: StringMargin = None,
    html: PageFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Try ranges of sizes before you build: what each set achieves, and what limits it."""
    from unspool.car import load_car
    from unspool.render.text.calibration import watching
    from unspool.study import plan as planning
    from unspool.study import sweep as study

    if html is not None:
        refuse_to_replace(html, force=force)
    limits = limits_of(start_margin, traction_margin, tipping_margin, string_margin)
    wanted = planning.Goal(planning.Aim(goal), distance, planning.Counts(counts))
    axes = _axes(tier or [], wheel_mm, wheel_g, weight_g, drop_mm)
    with watching("trying sets of sizes") as progress:
        found = study.sweep(load_car(car), axes, track_of(track), wanted, limits, progress)
    if html is not None:
        from unspool.render.html.sweep import sweep_page

        write_new(html, sweep_page(found), force=force)
    if as_json:
        from unspool.render.json.sweep import sweep_json

        print_json(sweep_json(found))
    else:
        from unspool.render.text.sweep import show_sweep

        show_sweep(console(), found)


def _axes(
    tiers: list[str],
    wheel_mm: str | None,
    wheel_g: float | None,
    weight_g: str | None,
    drop_mm: str | None,
) -> list[Axis]:
    from unspool.study.sweep import Varied, axis_of, usual_steps

    if wheel_g is not None and not (wheel_mm and 0.05 <= wheel_g <= 20_000):
        raise one_fault("--wheel-g", f"{wheel_g:g}", "0.05 to 20000, and a range with --wheel-mm")
    sizes = (
        ("--wheel-mm", Varied.DRIVEN_WHEELS, wheel_mm),
        ("--weight-g", Varied.WEIGHT, weight_g),
        ("--drop-mm", Varied.DROP, drop_mm),
    )
    named = [_tier(text) for text in tiers]
    given = [(option, what, text) for option, what, text in sizes if text is not None]
    steps = usual_steps(len(named) + len(given))
    mass = None if wheel_g is None else 1e-3 * wheel_g
    return [
        *(axis_of(Varied.TIER, _values("--tier", text, steps), name) for name, text in named),
        *(
            axis_of(
                what,
                _values(option, text, steps),
                wheel_kg=mass if what is Varied.DRIVEN_WHEELS else None,
            )
            for option, what, text in given
        ),
    ]


def _tier(text: str) -> tuple[str, str]:
    name, equals, values = text.rpartition("=")
    if not equals or not name:
        raise one_fault("--tier", f'"{text}"', "a tier and a range of its diameter, as run=8:24")
    return name, values


def _values(option: str, text: str, steps: int) -> list[float]:
    """Values in m or kg of a range `LOW:HIGH`, `LOW:HIGH:STEPS`, or of values with commas."""
    from unspool.study.sweep import evenly

    try:
        if ":" not in text:
            return [1e-3 * float(one) for one in text.split(",")]
        low, high, *more = text.split(":")
        count = int(more[0]) if more else steps
        if len(more) > 1 or not 2 <= count <= 100 or not 0.0 < float(low) < float(high):
            raise ValueError
    except ValueError:
        raise one_fault(option, f'"{text}"', RANGE) from None
    return evenly(1e-3 * float(low), 1e-3 * float(high), count)
