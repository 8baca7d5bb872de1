"""The page for addresses where there is none."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.pages.page import Page
from unspool.app.parts import empty


def not_found_page(address: str) -> Page:
    return Page(
        "Nothing here",
        empty(
            "There is no page here",
            html.Span(["No page of unspool has the address ", html.Code(address), "."]),
            html.Span(
                [
                    "Go to ",
                    dcc.Link("Track", href="/"),
                    " or to the ",
                    dcc.Link("Logbook", href="/logbook"),
                    ".",
                ]
            ),
        ),
    )


def no_run_page(run_id: str) -> Page:
    return Page(
        "No such attempt",
        empty(
            "This store has no such attempt",
            html.Span(
                [
                    "There is no attempt of number ",
                    html.Code(run_id),
                    "; perhaps it is in another store.",
                ]
            ),
            html.Span(
                ["All attempts of this store are in the ", dcc.Link("list", href="/logbook"), "."]
            ),
        ),
        place="logbook",
    )


def no_thing_page(noun: str, name: str) -> Page:
    """noun: a car or a floor."""
    return Page(
        f"No such {noun}",
        empty(
            f"There is no {noun} of that name",
            html.Span(["No ", noun, " here is called ", html.Code(name), "."]),
            html.Span(["All of them are in ", dcc.Link("Cars", href="/cars"), "."]),
        ),
        place="cars",
    )


def error_page(sentence: str) -> Page:
    """What went wrong, in its own sentence, with a way back."""
    back = html.Span(["Go back to the ", dcc.Link("Logbook", href="/logbook"), "."])
    return Page("Trouble", empty("This cannot be shown", sentence, back))
