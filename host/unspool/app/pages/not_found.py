"""The page for addresses where there is none."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.pages.components import empty
from unspool.app.pages.page import Page


def not_found_page(address: str) -> Page:
    return Page(
        "Nothing here",
        empty(
            "There is no page here",
            html.Span(["No page of unspool has the address ", html.Code(address), "."]),
            html.Span(
                [
                    "Go to the ",
                    dcc.Link("live page", href="/"),
                    " or to the ",
                    dcc.Link("list of runs", href="/runs"),
                    ".",
                ]
            ),
        ),
    )


def no_run_page(run_id: str) -> Page:
    return Page(
        "No such run",
        empty(
            "This store has no such run",
            html.Span(["There is no run ", html.Code(run_id), "; perhaps it is in another store."]),
            html.Span(["All runs of this store are in the ", dcc.Link("list", href="/runs"), "."]),
        ),
        place="runs",
    )


def error_page(sentence: str) -> Page:
    """What went wrong, in its own sentence."""
    return Page("Trouble", empty("This cannot be shown", sentence))
