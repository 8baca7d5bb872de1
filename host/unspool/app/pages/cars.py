"""Cars: the cars of the attempts in the store."""

from __future__ import annotations

from dash import html

from unspool.app.pages.page import Page
from unspool.app.parts import command, empty, table
from unspool.app.run_cache import RunCache


def cars_page(runs: RunCache) -> Page:
    counts = runs.cars()
    if not counts:
        start = html.Span(["Record one with ", command("unspool record --car CAR.toml"), "."])
        return Page("Cars", empty("No cars yet", start), place="cars")
    rows = [(name, str(count)) for name, count in counts.items()]
    body = html.Div([html.H1("Cars"), table("Cars of the logbook", ("car", "attempts"), rows)])
    return Page("Cars", body, place="cars")
