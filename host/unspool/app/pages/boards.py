"""All boards that are recorded, a line each, and what to choose to record another one.

assets/boards.js fills in the lines, again and again, as the socket says them.
"""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.board_line import BoardLine
from unspool.app.live_boards import LiveBoards
from unspool.app.pages.page import Page
from unspool.app.pages.track_setup import setup, setup_beside
from unspool.app.parts import attributes
from unspool.language import _

PATH = "/track"


def boards_page(lives: LiveBoards) -> Page:
    """Only what to choose, if nothing is recorded."""
    if not lives.shown:
        return Page(_("Track"), setup(lives.idle.run_id, lives.session), place="track")
    lines = [_line(one) for one in lives.lines]
    body = html.Div(
        [
            html.H1(_("Boards")),
            html.Ul(lines, className="boards", **attributes(data_boards="")),
            *setup_beside(),
        ],
        id="track",
        **attributes(data_phase="boards", data_session=lives.session),
    )
    return Page(_("Boards"), body, place="track")


def _line(one: BoardLine) -> html.Li:
    """As boards.js makes it."""
    said = one.json()
    car: list[Component | str] = [html.B(said["car"]), " ", html.Span(said["name"])]
    last = html.A(said["last"], href=said["attempt"]) if said["attempt"] else html.Span("")
    return html.Li(
        [dcc.Link(car, href=said["href"]), html.Span(said["headline"], className="state"), last],
        **attributes(data_tone=said["tone"]),
    )
