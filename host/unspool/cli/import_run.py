"""`unspool import`: an edge file into the store, with what is known of its run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.correct import Circumference, Note, Tags, Taped, Timed, Turns, Weight, said_of
from unspool.cli.sources import AsJson, StoreFile, open_store
from unspool.cli.streams import print_json

if TYPE_CHECKING:
    from unspool.store import Imported


def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="Edge file.")],
    car: Annotated[Path, typer.Option(help="Car file (TOML) of the car that ran.")],
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    turns: Turns = None,
    weight_g: Weight = None,
    circumference_mm: Circumference = None,
    taped_m: Taped = None,
    timed_s: Timed = None,
    note: Note = None,
    tags: Tags = None,
    store: StoreFile = None,
    as_json: AsJson = False,
) -> None:
    """Add an edge file to the store, as a run, with what is known of it."""
    from unspool.car import OfRun, parse_car, parse_track
    from unspool.car.toml_source import read_text
    from unspool.cli.turns import turns_of
    from unspool.corrections import refuse_impossible, this_user
    from unspool.reading.edges.edge_file import read_edge_file
    from unspool.store import Field

    train = read_edge_file(file)
    car_text, track_text = read_text(car), None if track is None else read_text(track)
    the_car = parse_car(car_text, str(car), OfRun(weight_g, circumference_mm))
    if track_text is not None:
        parse_track(track_text, str(track))
    known = said_of((weight_g, circumference_mm, taped_m, timed_s), note, tags)
    if turns is not None:
        wound = zip(the_car.drum, turns_of(the_car, turns), strict=True)
        known[Field.TURNS] = tuple((tier.name, n) for tier, n in wound)
    refuse_impossible(known)
    with open_store(store) as opened:
        kept = opened.add_import(
            train, car_text, track_text, source=str(file), said=known, who=this_user()
        )
    _answer(kept, len(train), bool(known), as_json)


def _answer(kept: Imported, edges: int, said: bool, as_json: bool) -> None:
    run = kept.run_id
    if as_json:
        answer = {"run": run, "already_there": kept.already_there, "edges": edges}
        print_json({"unspool": 1, **answer})
    elif kept.already_there:
        more = f" To change what is known of it: unspool correct {run}" if said else ""
        print(f"The store has this run already, as run {run}; nothing was added.{more}")
    else:
        print(f"Added as run {run}: {edges} edges. See: unspool analyse {run}")
