"""`unspool worksheet`: questions for a class about a car, and the teacher's key."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.cli.output_files import Force, write_new
from unspool.cli.sheet_language import SheetLanguage, sheet_language
from unspool.cli.sources import TrackFile, track_of
from unspool.cli.streams import console
from unspool.errors import one_fault
from unspool.language import ENGLISH


def worksheet(
    car: Annotated[Path, typer.Argument(metavar="CAR.toml", help="Car file.")],
    out: Annotated[Path, typer.Option(help="File to write: FILE.pdf.")],
    track: TrackFile = None,
    key: Annotated[bool, typer.Option("--key", help="Write the teacher's key instead.")] = False,
    language: SheetLanguage = ENGLISH,
    force: Force = False,
) -> None:
    """Write a worksheet for a class: forecast, sums about this car, and what if."""
    from unspool.car import load_car
    from unspool.render.worksheet.pdf import key_pdf, worksheet_pdf
    from unspool.study.worksheet import worksheet as sheet_of

    if out.suffix.lower() != ".pdf":
        raise one_fault("--out", str(out), "a name that ends in .pdf")
    spoken = sheet_language(language)
    the_car = load_car(car)
    sheet = sheet_of(the_car, track_of(track))
    with spoken:
        write_new(out, key_pdf(sheet) if key else worksheet_pdf(sheet), force=force)
    what = "the teacher's key" if key else "the worksheet"
    console().print(f"{out}: {what} of {the_car.name}", soft_wrap=True)
