"""`unspool cars` and `unspool tracks`: those that the store knows by name, with their versions."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.output_files import Force, write_new
from unspool.cli.sources import AsJson, StoreName, existing_store, open_store
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.store import Shelf, Shelved, Store

Name = Annotated[str | None, typer.Argument(metavar="NAME", help="One of them, by its name.")]
Keep = Annotated[
    Path | None, typer.Option(metavar="FILE.toml", help="Keep a file as the current version.")
]
Out = Annotated[Path | None, typer.Option(metavar="FILE.toml", help="Write a version as a file.")]
VersionNumber = Annotated[
    int | None, typer.Option("--version", metavar="N", help="With --out: which version.")
]
Use = Annotated[
    int | None, typer.Option(metavar="N", help="Make this version the current one again.")
]
PutAway = Annotated[
    bool,
    typer.Option("--put-away", help="Offer it no more. Nothing is deleted; --use brings it back."),
]


def _command(kind: str) -> Callable[..., None]:
    """The command for the things of one kind, "cars" or "tracks"."""

    def command(
        name: Name = None,
        keep: Keep = None,
        out: Out = None,
        version: VersionNumber = None,
        use: Use = None,
        put_away: PutAway = False,
        store: StoreName = None,
        force: Force = False,
        as_json: AsJson = False,
    ) -> None:
        given = [keep is not None, out is not None, use is not None, put_away]
        if sum(given) > 1:
            raise InputError("give one of --keep, --out, --use and --put-away")
        if version is not None and out is None:
            raise InputError("--version needs --out; to make a version current, use --use")
        if keep is not None:
            with open_store(store) as opened:
                _show(kind, _kept(kind, opened, keep), as_json)
            return
        if name is None and any(given):
            raise InputError(f"say which of the {kind}: give its name first")
        with existing_store(store) as opened:
            if name is None:
                _list(kind, _shelf(kind, opened).listed(), as_json)
                return
            thing = _changed(_shelf(kind, opened), name, use, put_away)
        if out is not None:
            _write(thing, version, out, force)
        else:
            _show(kind, thing, as_json)

    command.__doc__ = f"List the {kind} in the store, or show, keep and choose versions of one."
    return command


cars, tracks = _command("cars"), _command("tracks")


def _shelf(kind: str, store: Store) -> Shelf:
    return store.cars if kind == "cars" else store.tracks


def _kept(kind: str, store: Store, file: Path) -> Shelved:
    from unspool.car.toml_source import read_text
    from unspool.corrections import this_user
    from unspool.versions import save_car, save_track

    save = save_car if kind == "cars" else save_track
    return save(store, read_text(file), this_user(), source=str(file))


def _changed(shelf: Shelf, name: str, use: int | None, put_away: bool) -> Shelved:
    from unspool.corrections import this_user

    if use is not None:
        return shelf.choose(name, use, this_user())
    return shelf.put_away(name, this_user()) if put_away else shelf.one(name)


def _write(thing: Shelved, number: int | None, out: Path, force: bool) -> None:
    version = thing.current if number is None else thing.version(number)
    if version is None:
        raise InputError(f"{thing.name} has no version {number}")
    write_new(out, version.text, force=force)
    to_stderr(f"{out}: {thing.name}, version {version.number}")


def _list(kind: str, things: list[Shelved], as_json: bool) -> None:
    from unspool.render.json.versions import shelf_json

    if as_json:
        print_json(shelf_json(kind, things))
    elif not things:
        to_stderr(f"the store has no {kind} yet; keep one: unspool {kind} --keep FILE.toml")
    for thing in () if as_json else things:
        runs = f"{len(thing.runs)} run{'s' * (len(thing.runs) != 1)}"
        away = ", put away" * thing.away
        line = (
            f"{thing.name}: version {thing.current.number} of {len(thing.versions)}, {runs}{away}"
        )
        console().print(line, soft_wrap=True, markup=False, highlight=False)


def _show(kind: str, thing: Shelved, as_json: bool) -> None:
    from unspool.render.json.versions import versions_json
    from unspool.render.words.versions import version_lines
    from unspool.versions import changes_of

    changes = changes_of(thing)
    if as_json:
        print_json(versions_json(kind, thing, changes))
        return
    for line in version_lines(thing, changes):
        console().print(line, soft_wrap=True, markup=False, highlight=False)
