"""`unspool plan`: the next winding."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from unspool.cli.bounds import within
from unspool.cli.calibrate import (
    CalibrationRuns,
    RunFiles,
    RunsCar,
    RunsTrack,
    calibration_of,
)
from unspool.cli.sources import AsJson, StoreName, TrackFile, track_of
from unspool.cli.streams import console, print_json
from unspool.errors import one_fault

if TYPE_CHECKING:
    from unspool.car import Car
    from unspool.study.plan import Limits, Owned

GoalName = Annotated[
    Literal["farthest", "fastest", "reach"],
    typer.Option(help="What the winding should achieve."),
]
CountsName = Annotated[
    Literal["rest", "furthest"],
    typer.Option(
        help="For the goal farthest: which distance counts, to where the car rests or to the "
        "furthest point that it reaches."
    ),
]
TurnStep = Annotated[
    float,
    typer.Option(callback=within(0.05, 2.0), help="Turns are planned in multiples of this."),
]
Mark = Annotated[
    float | None,
    typer.Option(
        "--distance",
        metavar="M",
        callback=within(0.1, 1000.0),
        help="Where the mark is, for the goals fastest and reach.",
    ),
]
StartMargin = Annotated[
    float | None, typer.Option(help="Least ratio of the pull to the resistance at rest.")
]
TractionMargin = Annotated[
    float | None, typer.Option(help="Least ratio of the grip to the force at the tyre.")
]
TippingMargin = Annotated[float | None, typer.Option(help="Least margin against a lifted front.")]
StringMargin = Annotated[
    float | None, typer.Option(help="Least ratio of the string's strength to its peak tension.")
]
OwnWeights = Annotated[
    list[float] | None, typer.Option(help="Another weight that you own; can be repeated.")
]
OwnWheels = Annotated[
    list[str] | None,
    typer.Option(
        metavar="MM[:G]",
        help="Another diameter of driven wheels that you own, if you like with the mass of each; "
        "can be repeated.",
    ),
]
OwnTiers = Annotated[
    list[str] | None,
    typer.Option(
        metavar="TIER=MM", help="Another diameter of a tier that you own; can be repeated."
    ),
]


def plan(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    track: TrackFile = None,
    goal: GoalName = "farthest",
    distance: Mark = None,
    counts: CountsName = "rest",
    turn_step: TurnStep = 0.25,
    start_margin: StartMargin = None,
    traction_margin: TractionMargin = None,
    tipping_margin: TippingMargin = None,
    string_margin: StringMargin = None,
    own_weight_g: OwnWeights = None,
    own_wheel_mm: OwnWheels = None,
    own_tier_mm: OwnTiers = None,
    runs: CalibrationRuns = None,
    runs_car: RunsCar = None,
    runs_track: RunsTrack = None,
    store: StoreName = None,
    as_json: AsJson = False,
) -> None:
    """Find the next winding, how exactly to wind it, and which change of the car gains most."""
    from unspool.car import load_car
    from unspool.study import plan as planning

    limits = limits_of(start_margin, traction_margin, tipping_margin, string_margin)
    wanted = planning.Goal(planning.Aim(goal), distance, planning.Counts(counts))
    the_car = load_car(car)
    owned = _owned(the_car, own_weight_g or [], own_wheel_mm or [], own_tier_mm or [])
    the_track = track_of(track)
    calibration = calibration_of(runs, RunFiles(car, track, runs_car, runs_track), store)
    from unspool.render.text.plan import show_plan, watching

    with watching() as on_stage:
        found = planning.plan(
            the_car, the_track, wanted, limits, owned, calibration, on_stage, turn_step
        )
    if as_json:
        from unspool.render.json.plan import plan_json

        print_json(plan_json(found))
    else:
        show_plan(console(), found)


def _owned(car: Car, weights_g: list[float], wheels: list[str], tiers: list[str]) -> Owned:
    from unspool.study.plan import Owned
    from unspool.study.plan.parts import wheel_size

    tiers_mm: dict[str, list[float]] = {}
    for text in tiers:
        name, mm = _tier(text)
        tiers_mm.setdefault(name, []).append(mm)
    return Owned.measured(car, weights_g, [wheel_size(text) for text in wheels], tiers_mm)


def _tier(text: str) -> tuple[str, float]:
    name, _, mm = text.rpartition("=")
    try:
        diameter = float(mm)
    except ValueError:
        diameter = 0.0
    if not name or not diameter > 0.0:
        expected = "a tier and its diameter, such as run=14"
        raise one_fault("--own-tier-mm", f'"{text}"', expected)
    return name, diameter


def limits_of(
    start: float | None, traction: float | None, tipping: float | None, string: float | None
) -> Limits:
    """The limits that the options set; the usual one for each that is left out."""
    from unspool.study.plan import Limits

    margins = {
        "start_margin": start,
        "traction_margin": traction,
        "tipping_margin": tipping,
        "string_margin": string,
    }
    return Limits(**{name: least for name, least in margins.items() if least is not None})
