"""The list of commands. Each is a function in a module of this package."""

from __future__ import annotations

from typing import Annotated

import typer

import unspool
from unspool.cli import (
    access,
    calibrate,
    captures,
    card,
    cars,
    check,
    compare,
    contest,
    correct,
    demo,
    flash,
    import_run,
    library,
    links,
    open_app,
    part,
    plan,
    read,
    record,
    rollout,
    shortcut,
    store,
    sweep,
    worksheet,
)

app = typer.Typer(
    name="unspool",
    help="Measures, explains and plans the runs of falling-weight cars. Without a command it opens"
    " the app.",
    add_completion=False,
    pretty_exceptions_enable=False,
)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"unspool {unspool.__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def root(
    context: typer.Context,
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    """Without a command, opens the app: the same as `unspool app`."""
    if context.invoked_subcommand is None:
        open_app.open_app()


app.command("app")(open_app.open_app)
app.command("shortcut")(shortcut.shortcut)
app.command("record")(record.record)
app.command("demo")(demo.demo)
app.command("predict")(read.predict)
app.command("analyse")(read.analyse)
app.command("calibrate")(calibrate.calibrate)
app.command("rollout")(rollout.rollout)
app.command("compare")(compare.compare)
app.command("plan")(plan.plan)
app.command("sweep")(sweep.sweep)
app.command("card")(card.card)
app.command("worksheet")(worksheet.worksheet)
app.command("import")(import_run.import_)
app.command("bundle")(import_run.bundle)
app.command("runs")(library.runs)
app.add_typer(store.store, name="store")
app.add_typer(contest.contest, name="contest")
app.add_typer(access.access, name="access")
app.command("correct")(correct.correct)
app.command("cars")(cars.cars)
app.command("tracks")(cars.tracks)
app.command("export")(library.export)
app.command("captures")(captures.captures)
app.command("links")(links.links)
app.command("check")(check.check)
app.command("flash")(flash.flash)
app.command("part")(part.part)
