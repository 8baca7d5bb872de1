"""`unspool card`: the winding on one sheet of paper."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.calibrate import (
    CalibrationRuns,
    RunFiles,
    RunsCar,
    RunsTrack,
    calibration_of,
)
from unspool.cli.output_files import Force, write_new
from unspool.cli.sheet_language import SheetLanguage, sheet_language
from unspool.cli.sources import StoreName, TrackFile, track_of
from unspool.cli.streams import console
from unspool.cli.turns import turns_of
from unspool.errors import one_fault
from unspool.language import ENGLISH

if TYPE_CHECKING:
    from unspool.study.plan.winding_card import WindingCard

FORMS = (".html", ".pdf")


def card(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    out: Annotated[Path, typer.Option(help="File to write: FILE.html or FILE.pdf.")],
    track: TrackFile = None,
    runs: CalibrationRuns = None,
    runs_car: RunsCar = None,
    runs_track: RunsTrack = None,
    store: StoreName = None,
    turns: Annotated[
        str | None,
        typer.Option(
            metavar="TURNS", help="Turns to wind, such as start=2.5,run=6; else the car file's."
        ),
    ] = None,
    language: SheetLanguage = ENGLISH,
    force: Force = False,
) -> None:
    """Write the winding card: the order, the turns, the marks, and what should happen where."""
    from unspool.car import load_car
    from unspool.study.plan.winding_card import winding_card

    if out.suffix.lower() not in FORMS:
        raise one_fault("--out", str(out), "a name that ends in .html or .pdf")
    spoken = sheet_language(language)
    the_car = load_car(car)
    wound = turns_of(the_car, turns) if turns else None
    learnt = calibration_of(runs, RunFiles(car, track, runs_car, runs_track), store)
    made = winding_card(the_car, track_of(track), wound, learnt, datetime.now().date())
    with spoken:
        write_new(out, _sheet(made, out), force=force)
    console().print(f"{out}: the winding card of {the_car.name}", soft_wrap=True)


def _sheet(made: WindingCard, out: Path) -> str | bytes:
    if out.suffix.lower() == ".pdf":
        from unspool.render.card.pdf import card_pdf

        return card_pdf(made)
    from unspool.render.card.html import card_html

    return card_html(made)
