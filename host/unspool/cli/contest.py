"""`unspool contest`: what the pages of a contest do, on the command line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from unspool.cli.output_files import Force, write_new
from unspool.cli.sources import AsJson, StoreName, existing_store, open_store
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import InputError, one_fault

if TYPE_CHECKING:
    from unspool.contest import Contest
    from unspool.render.contest import Sheet
    from unspool.store import Store

contest = typer.Typer(no_args_is_help=True)
ContestName = Annotated[str, typer.Argument(metavar="CONTEST", help="A contest's number.")]
FIRST_LINE = 2  # of a table of cars: the first one names the columns
SHEETS = ("entries", "attempts", "results", "certificates", "log")


@contest.callback()
def root() -> None:
    """Set up a contest, draw its order, and write its results."""


@contest.command("make")
def make(
    name: Annotated[str, typer.Argument(help="Name of the contest.")],
    rules: Annotated[Path | None, typer.Option(help="Rules (TOML).")] = None,
    entries: Annotated[
        Path | None, typer.Option(help="Cars (CSV): team, car, weight_g, age, forecast.")
    ] = None,
    store: StoreName = None,
) -> None:
    """Make a contest, with the usual rules if no others are given."""
    from unspool.car.toml_source import read_text
    from unspool.contest import Contest, parse_rules, rules_toml
    from unspool.corrections import this_user
    from unspool.judging import Organiser
    from unspool.judging.several import csv_cars, enter_all, try_out
    from unspool.render.words.contest import usual_rules

    settings = usual_rules() if rules is None else parse_rules(read_text(rules), str(rules))
    cars = [] if entries is None else csv_cars(read_text(entries), str(entries))
    try_out(Contest(name=name, rules=settings), cars, FIRST_LINE)
    with open_store(store) as opened:
        made = Organiser.make(opened, this_user(), name, rules_toml(settings))
        enter_all(made, cars, FIRST_LINE)
    console().print(f"contest {made.id}: {len(cars)} cars", soft_wrap=True)


@contest.command("order")
def order(
    number: ContestName,
    seed: Annotated[str, typer.Option(help="Draw with this seed again.")] = "",
    store: StoreName = None,
) -> None:
    """Draw the order by lot, and print the seed with which anyone can draw it again."""
    from unspool.corrections import this_user
    from unspool.judging import Organiser

    with existing_store(store) as opened:
        organiser = Organiser(opened, number, this_user())
        drawn = organiser.draw(seed)
        state = organiser.contest
    console().print(f"seed {drawn}", soft_wrap=True)
    for place, entry in enumerate(state.competing(), 1):
        console().print(f"{place:3} {state.title(entry)}", markup=False, soft_wrap=True)


@contest.command("results")
def results(number: ContestName, store: StoreName = None, as_json: AsJson = False) -> None:
    """Print the rankings, and what the judges should look at."""
    from unspool.contest import findings
    from unspool.judging import contest_in
    from unspool.render.contest import results as results_sheet
    from unspool.render.json.contest import contest_json
    from unspool.render.words.findings import sentence

    with existing_store(store) as opened:
        state = contest_in(opened, number)
    if as_json:
        print_json(contest_json(state))
        return
    _print(results_sheet(state))
    for found in findings(state):
        to_stderr(sentence(found))


@contest.command("export")
def export(
    number: ContestName,
    sheet: Annotated[str, typer.Argument(help=f"One of {', '.join(SHEETS)}.")],
    out: Annotated[Path, typer.Option(help="File to write: FILE.pdf or FILE.csv.")],
    store: StoreName = None,
    force: Force = False,
) -> None:
    """Write the list of cars, the sheet of attempts, results, certificates or the log."""
    if sheet not in SHEETS:
        raise one_fault("SHEET", sheet[:20], f"one of {', '.join(SHEETS)}")
    if out.suffix.lower() not in (".pdf", ".csv"):
        raise one_fault("--out", str(out), "a name that ends in .pdf or .csv")
    with existing_store(store) as opened:
        write_new(out, made_sheet(opened, number, sheet, out.suffix.lower()), force=force)
    console().print(f"{out}: {sheet}", soft_wrap=True)


@contest.command("list")
def list_(store: StoreName = None) -> None:
    """List the contests of the store."""
    from unspool.judging import contest_in

    with existing_store(store) as opened:
        for number in opened.contests.listed():
            state = contest_in(opened, number)
            line = f"{number:>3} {state.name} ({len(state.competing())} cars)"
            console().print(line, markup=False, soft_wrap=True)


def made_sheet(store: Store, number: str, sheet: str, ending: str) -> str | bytes:
    from unspool.judging import contest_in, events_in
    from unspool.render.contest import log_sheet, sheet_csv
    from unspool.render.contest.pdf import certificates_pdf, sheet_pdf

    state = contest_in(store, number)
    if sheet == "certificates":
        if ending == ".csv":
            raise InputError("certificates are written as PDF only; export results as CSV")
        return certificates_pdf(state)
    is_log = sheet == "log"
    made = log_sheet(state, events_in(store, number)) if is_log else _sheet(state, sheet)
    return sheet_csv(made) if ending == ".csv" else sheet_pdf(made)


def _sheet(state: Contest, name: str) -> Sheet:
    from unspool.render.contest import attempt_sheet, entry_list
    from unspool.render.contest import results as results_sheet

    makers = {"entries": entry_list, "attempts": attempt_sheet, "results": results_sheet}
    return makers[name](state)


def _print(sheet: Sheet) -> None:
    for note in sheet.notes:
        console().print(note, markup=False)
    for part in sheet.parts:
        table = Table(title=part.title, title_justify="left", box=None, pad_edge=False)
        for place, head in enumerate(part.heads):
            table.add_column(head, justify="left" if place < part.named else "right")
        for line in part.lines:
            table.add_row(*line)
        console().print(table)
