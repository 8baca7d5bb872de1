"""The board of results, for a projector: it follows the contest, and classes take turns."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_form import root
from unspool.app.pages.page import Page
from unspool.app.parts import attributes
from unspool.contest import Board, Contest, Row, board, forecasters
from unspool.contest.order import next_attempt
from unspool.render.contest.sheets import class_title
from unspool.render.words.contest import error_text, place_text, score_text

ROWS = 5  # at a time: as many as fit on a projector in letters for the last row of a hall

Line = tuple[str, str, str, str]  # place, team, car, score


def contest_board_page(hub: ContestHub, contest: str) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    turns = [turn for one in board(state) for turn in _class(state, one)] + _guesses(state)
    hold = html.Button("Hold", type="button", className="second", **attributes(data_hold=""))
    head = html.Header([html.H1(state.name), html.P(_now(state), className="now"), hold])
    back = html.P(dcc.Link("Cars, rules and sheets", href=f"/contest/{contest}"), className="back")
    data = root(f"/contest/{contest}/say", contest, state.revision, "always")
    body = html.Div([head, *turns, back], className="contest projector", **data)
    return Page(f"Results: {state.name}", body)


def _now(state: Contest) -> str:
    if state.closed:
        return "Final results"
    parts = []
    if state.called:
        entry, attempt = state.called
        parts.append(f"Now: {state.title(state.entries[entry])}, attempt {attempt}")
    if following := next_attempt(state):
        parts.append(f"Next: {state.title(state.entries[following[0]])}")
    return ". ".join(parts)


def _class(state: Contest, one: Board) -> list[Component]:
    return _turns(class_title(state, one.class_name), [_line(state, row) for row in one.rows])


def _line(state: Contest, row: Row) -> Line:
    return place_text(row.place), row.team, row.car, score_text(row.score, state.rules)


def _guesses(state: Contest) -> list[Component]:
    lines = [
        (place_text(one.place), one.team, one.car, f"off by {error_text(one, state.rules)}")
        for one in forecasters(state)
    ]
    return _turns("Who knew their car best", lines) if lines else []


def _turns(title: str, lines: list[Line]) -> list[Component]:
    """As many turns as it takes to show all lines."""
    starts = range(0, max(len(lines), 1), ROWS)
    several = len(starts) > 1
    return [
        _turn(f"{title}, {number} of {len(starts)}" if several else title, lines[at : at + ROWS])
        for number, at in enumerate(starts, 1)
    ]


def _turn(title: str, lines: list[Line]) -> Component:
    rows = [
        html.Li([html.Span(place, className="place"), _who(team, car), html.B(score)])
        for place, team, car, score in lines
    ]
    body = html.Ul(rows) if rows else html.P("No car is entered yet.")
    return html.Section([html.H2(title), body], className="turn", **attributes(data_turn=""))


def _who(team: str, car: str) -> Component:
    return html.Span([html.B(team), html.Small(car)], className="who")
