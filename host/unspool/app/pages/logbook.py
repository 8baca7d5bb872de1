"""Logbook: all attempts, newest first."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.import_form import import_form
from unspool.app.pages.page import Page
from unspool.app.parts import (
    Cells,
    attributes,
    command,
    empty,
    local_time,
    short_note,
    table,
    winding_text,
)
from unspool.app.run_cache import ListedRun, RunCache
from unspool.render.words.result import end_label
from unspool.render.words.units import quantity

PER_PAGE = 25
HEAD = ("run", "distance", "car", "winding", "when", "its speed")
NOTE = "note"  # a column only if any run has one


def logbook_page(runs: RunCache, number: int) -> Page:
    """Page `number` of the list; the first is 1."""
    entries, count = runs.newest((number - 1) * PER_PAGE, PER_PAGE)
    if not count:
        body = html.Div([_no_runs(), *import_form(_cars(runs))])
        return Page("Logbook", body, place="logbook")
    noted = any(_remark(entry) for entry in entries)
    head = (*HEAD, *([NOTE] if noted else []))
    rows = _rows(entries, noted)
    sheet = table(f"{count} run{'s' * (count != 1)}, newest first", head, rows, "runs")
    return Page(
        "Logbook",
        html.Div([html.H1("Logbook"), *import_form(_cars(runs)), sheet, _pager(number, count)]),
        place="logbook",
    )


def _cars(runs: RunCache) -> list[str]:
    return [car.name for car in runs.store.cars.listed() if not car.away]


def _no_runs() -> html.Section:
    return empty(
        "No runs yet",
        html.Span(
            [
                "Record one with ",
                command("unspool record --car CAR.toml"),
                ", or import an edge file with ",
                command("unspool import FILE.csv --car CAR.toml"),
                ".",
            ]
        ),
        html.Span([command("unspool demo"), " records runs of a virtual car, without a board."]),
    )


def _rows(entries: list[ListedRun], noted: bool) -> list[Cells]:
    return [
        (
            dcc.Link(entry.name, href=f"/attempts/{entry.row.id}"),
            _distance(entry),
            entry.row.car or "no car given",
            _winding(entry),
            local_time(entry.row.started_at),
            _thumbnail(entry),
            *([_remark(entry) or "none"] if noted else []),
        )
        for entry in entries
    ]


def _remark(entry: ListedRun) -> str:
    """Whether the run was discarded, and what the builder noted."""
    marks = ("discarded" * entry.row.discarded, short_note(entry.row.builder_note))
    return "; ".join(mark for mark in marks if mark)


def _distance(entry: ListedRun) -> str:
    if entry.motion is None:
        return "not read"
    place = quantity(entry.motion.stop_m, "m")
    return place if entry.motion.measures_distance else f"{end_label(entry.motion)} {place}"


def _winding(entry: ListedRun) -> str:
    """If a run cannot be read, this column says why."""
    return winding_text(entry.measured.wound) if entry.measured else entry.why


def _thumbnail(entry: ListedRun) -> Component:
    """Decoration: the distance column has the number for a screen reader."""
    if entry.motion is None:
        return html.Span("none")
    return html.Img(src=f"/attempts/{entry.row.id}/thumbnail.svg", alt="", width=160, height=40)


def _pager(number: int, count: int) -> html.Nav:
    links = []
    if number > 1:
        links.append(dcc.Link("Newer runs", href=f"/logbook?page={number - 1}"))
    if number * PER_PAGE < count:
        links.append(dcc.Link("Older runs", href=f"/logbook?page={number + 1}"))
    return html.Nav(links, className="pager", **attributes(aria_label="More runs"))
