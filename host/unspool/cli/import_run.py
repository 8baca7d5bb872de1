"""`unspool import` and `unspool bundle`: runs into the store, and out of it for another one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.correct import Circumference, Note, Tags, Taped, Timed, Turns, Weight, said_of
from unspool.cli.output_files import Force, write_new
from unspool.cli.sources import AsJson, StoreName, existing_store, open_store
from unspool.cli.streams import print_json, to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.imports import EdgeFileOf
    from unspool.store import Field, Imported, Said


def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Edge file, or bundle.")],
    car: Annotated[
        Path | None, typer.Option(help="Car file (TOML) of the car that ran, for an edge file.")
    ] = None,
    track: Annotated[Path | None, typer.Option(help="Track file (TOML).")] = None,
    turns: Turns = None,
    weight_g: Weight = None,
    circumference_mm: Circumference = None,
    taped_m: Taped = None,
    timed_s: Timed = None,
    note: Note = None,
    tags: Tags = None,
    store: StoreName = None,
    as_json: AsJson = False,
) -> None:
    """Add an edge file as a run, with what is known of it, or all runs of a bundle."""
    from unspool.bundle import is_bundle, read_bundle
    from unspool.corrections import this_user
    from unspool.imports import import_edges, read_any
    from unspool.reading.edges.edge_file import parse_edges

    data = read_any(file)
    known = said_of((weight_g, circumference_mm, taped_m, timed_s), note, tags)
    if is_bundle(data):
        if known or car or track or turns:
            raise InputError(f"{file} is a bundle and says all of its runs; give no other option")
        runs = read_bundle(data, str(file))
        with open_store(store) as opened:
            _answer_bundle(opened.add_carried(runs), as_json)
        return
    edges = len(parse_edges(data, str(file)))
    of = _known(file, car, track, turns, known)
    with open_store(store) as opened:
        kept = import_edges(opened, data, str(file), of, this_user())
    _answer(kept, edges, bool(of.said), as_json)


def bundle(
    runs: Annotated[list[str], typer.Argument(metavar="RUN...", help="Runs in the store.")],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FILE", help="Bundle to write.")],
    store: StoreName = None,
    force: Force = False,
) -> None:
    """Write runs with all that is known of them as one file, which another unspool imports."""
    from unspool.bundle import bundle_bytes

    with existing_store(store) as opened:
        carried = [opened.carry(run) for run in dict.fromkeys(runs)]
    write_new(out, bundle_bytes(carried), force=force)
    to_stderr(f"{out}: {len(carried)} run{'s' * (len(carried) != 1)}")


def _known(
    file: Path, car: Path | None, track: Path | None, turns: str | None, said: dict[Field, Said]
) -> EdgeFileOf:
    """What the options say of an edge file's run. Raises InputError."""
    from unspool.car import OfRun, parse_car
    from unspool.car.toml_source import read_text
    from unspool.cli.turns import turns_of
    from unspool.imports import EdgeFileOf
    from unspool.store import Field

    if car is None:
        raise InputError(f"the edge file {file} does not say which car ran; give it with --car")
    text = read_text(car)
    if turns is not None:
        drum = (of := parse_car(text, str(car), OfRun())).drum
        wound = zip(drum, turns_of(of, turns), strict=True)
        said = {**said, Field.TURNS: tuple((tier.name, n) for tier, n in wound)}
    track_text = None if track is None else read_text(track)
    known = EdgeFileOf(text, track_text, said, str(car), str(track))
    known.refuse_impossible()
    return known


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


def _answer_bundle(kept: list[Imported], as_json: bool) -> None:
    from unspool.render.words.imports import imported_words

    if as_json:
        runs = [{"run": one.run_id, "already_there": one.already_there} for one in kept]
        print_json({"unspool": 1, "runs": runs})
    else:
        print(imported_words([(one.run_id, one.already_there) for one in kept]) + _numbers(kept))


def _numbers(kept: list[Imported]) -> str:
    """The numbers that commands take."""
    added = [one.run_id for one in kept if not one.already_there]
    if len(added) == 1:
        return f" It is run {added[0]}."
    return f" They are runs {added[0]} to {added[-1]}." if added else ""
