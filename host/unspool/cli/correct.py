"""`unspool correct`: mends what was said of a run, and keeps what was said before."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import AsJson, CarFile, StoreName, TrackFile, existing_store
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.store import Correction, Field, Said, Store

MEASURES = ("weight_g", "circumference_mm", "taped_m", "timed_s")
StoredRunName = Annotated[str, typer.Argument(metavar="RUN", help="A run's number in the store.")]
Turns = Annotated[
    str | None,
    typer.Option(
        metavar="TURNS", help="Turns that were wound, such as start=3,run=5.5, or 3,5.5 for all."
    ),
]
Weight = Annotated[float | None, typer.Option(metavar="G", help="Mass of the weight in this run.")]
Circumference = Annotated[
    float | None,
    typer.Option(metavar="MM", help="Rolling circumference of the wheel that is counted."),
]
Taped = Annotated[
    float | None, typer.Option(metavar="M", help="Distance that the run went, by a tape.")
]
Timed = Annotated[
    float | None, typer.Option(metavar="S", help="Time that the run took, by a stopwatch.")
]
Tags = Annotated[
    str | None, typer.Option(metavar="TAG,...", help="Words to find it by; an empty text for none.")
]
Note = Annotated[str | None, typer.Option(help="What to remember of the run.")]
Discard = Annotated[
    bool | None,
    typer.Option("--discard/--restore", help="Leave the run out of all that uses runs, or not."),
]
Undo = Annotated[bool, typer.Option("--undo", help="Take back what was said last.")]


def correct(
    run: StoredRunName,
    car: CarFile = None,
    track: TrackFile = None,
    turns: Turns = None,
    weight_g: Weight = None,
    circumference_mm: Circumference = None,
    taped_m: Taped = None,
    timed_s: Timed = None,
    note: Note = None,
    tags: Tags = None,
    discard: Discard = None,
    undo: Undo = False,
    store: StoreName = None,
    as_json: AsJson = False,
) -> None:
    """Correct the winding and more of a run, or show what was said of it. Nothing is forgotten."""
    from unspool.corrections import correct as keep
    from unspool.corrections import said, this_user
    from unspool.store import Field

    measures = (weight_g, circumference_mm, taped_m, timed_s)
    changes = said_of(measures, note, tags) | said({"discarded": discard}) | _files(car, track)
    with existing_store(store) as opened:
        if turns is not None:
            changes[Field.TURNS] = _said_turns(opened, run, changes, turns)
        if undo and changes:
            raise InputError("--undo takes back what was said last; give it without other options")
        if undo:
            opened.undo_correction(run, this_user())
        elif changes:
            keep(opened, run, changes, this_user())
        opened.run(run)
        _answer(run, opened.history(run), bool(changes) or undo, as_json)


def said_of(
    measures: tuple[float | None, ...], note: str | None, tags: str | None
) -> dict[Field, Said]:
    """What the options say of a run. measures: weight, circumference, tape and stopwatch."""
    from unspool.corrections import said
    from unspool.typed import typed_tags

    named = dict(zip(MEASURES, measures, strict=True))
    words = None if tags is None else typed_tags(tags)
    return said({**named, "note": note, "tags": words})


def _files(car: Path | None, track: Path | None) -> dict[Field, Said]:
    """The texts of the files that are given. Raises InputError if one cannot be used."""
    from unspool.car import parse_car, parse_track
    from unspool.car.toml_source import read_text
    from unspool.store import Field

    changes: dict[Field, Said] = {}
    if car is not None:
        changes[Field.CAR] = text = read_text(car)
        parse_car(text, str(car))
    if track is not None:
        changes[Field.TRACK] = text = read_text(track)
        parse_track(text, str(track))
    return changes


def _said_turns(
    opened: Store, run: str, changes: dict[Field, Said], text: str
) -> tuple[tuple[str, float], ...]:
    """The turns on the tiers of the run's car, or of the car that is said with them."""
    from unspool.cli.turns import turns_of
    from unspool.corrections import corrected
    from unspool.runs import car_of

    car = car_of(corrected(opened.run(run), changes))
    return tuple((t.name, n) for t, n in zip(car.drum, turns_of(car, text), strict=True))


def _answer(run: str, history: list[Correction], changed: bool, as_json: bool) -> None:
    from unspool.render.json.corrections import history_json
    from unspool.render.words.corrections import change_words

    if as_json:
        lines = [(c.made_at, c.who, str(c.field), c.before, c.after) for c in history]
        print_json(history_json(run, lines))
        return
    if not history:
        to_stderr(f"nothing was said of run {run} since it was kept")
    for line in history:
        when = f"{line.made_at.astimezone():%Y-%m-%d %H:%M:%S}"
        words = change_words(line.field, line.before, line.after)
        console().print(f"{when}  {line.who}  {words}", soft_wrap=True, markup=False)
    if changed:
        to_stderr(f"see: unspool analyse {run}")
