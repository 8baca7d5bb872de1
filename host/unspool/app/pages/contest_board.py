"""The board of results, for a projector: it follows the contest, and classes take turns.

Above the ranking stands what a hall asks: who is on, what the last result was, and who is next.
"""

from __future__ import annotations

from math import ceil

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_bars import bars, longest
from unspool.app.pages.contest_form import root, say
from unspool.app.pages.page import Page
from unspool.app.parts import attributes
from unspool.app.permissions import holds
from unspool.app.rights import Right
from unspool.contest import Board, Contest, Row, board, forecasters, is_over
from unspool.contest.order import next_attempt
from unspool.language import _
from unspool.render.contest.sheets import class_title, filled
from unspool.render.words.contest import attempt_text, error_text, place_text, score_text
from unspool.render.words.contest_events import attempt_words

ROWS = 5  # at a time: as many as fit on a projector in letters for the last row of a hall
LONG = 18  # letters of a team's name that fit in a line of a row
LANES = 2  # that one hall has room for: as many attempts are shown as being under way

Line = tuple[str, str, str, Component | None, str]  # place, team, car, attempts, score
Table = tuple[str, list[Line]]  # its title


def contest_board_page(hub: ContestHub, contest: str) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    boards = filled(board(state))
    tables = [table for one in boards for table in _class(state, one)] + _guesses(state)
    turns = [_turn(together) for together in _packed(tables)]
    hold = html.Button(_("Hold"), type="button", className="second", **attributes(data_hold=""))
    head = html.Header([html.H1(state.name), hold])
    data = root(f"/contest/{contest}/say", contest, state.revision, "always")
    parts = [head, _hall(state, boards), *turns, _foot(state, contest)]
    body = html.Div(parts, className="contest projector", **data)
    return Page(_("Results: {contest}", contest=state.name), body)


def _foot(state: Contest, contest: str) -> Component:
    links: list[Component] = [dcc.Link(_("Cars, rules and sheets"), href=f"/contest/{contest}")]
    if holds(Right.JUDGE):
        links.append(dcc.Link(_("Judge's page"), href=f"/contest/{contest}/judge"))
        if next_attempt(state) and not state.closed:
            links.append(say(_("Call the next"), "next", seen=str(state.revision)))
    return html.P(links, className="back")


def _hall(state: Contest, boards: tuple[Board, ...]) -> Component:
    last = _last(state, boards)
    if state.closed:
        return html.Div([_told("now", _("Final results"), []), *last], className="hall")
    following = next_attempt(state)
    after: list[Component] = [_who(state, *following)] if following else [html.B(_("nobody"))]
    on: list[Component] = [_who(state, *key) for key in under_way(state)]
    return html.Div(
        [_told("now", _("Now"), on or [html.B("-")]), *last, _told("after", _("Next"), after)],
        className="hall",
    )


def under_way(state: Contest) -> tuple[tuple[int, int], ...]:
    """The attempts that were called last and are not over, by entry and number."""
    return tuple(
        key
        for key in state.calls[-LANES:]
        if not is_over(state.attempt(*key), state.rules) and not state.entries[key[0]].withdrawn
    )


def _last(state: Contest, boards: tuple[Board, ...]) -> list[Component]:
    if state.measured is None or not is_over(state.attempt(*state.measured), state.rules):
        return []
    entry, number = state.measured
    score = html.B(attempt_text(state.attempt(entry, number), state.rules), className="score")
    row = next((r for one in boards for r in one.rows if r.entry == entry), None)
    place = _("place {place} now", place=row.place) if row and row.place else ""
    line = html.Span([score, html.Small(place)], className="result")
    car = html.Small(state.title(state.entries[entry]))
    return [_told("last", _("Last result"), [html.Span([line, car], className="who")])]


def _told(name: str, title: str, said: list[Component]) -> Component:
    head = html.Span(title, className="title")
    return html.Div([head, *said], className=f"{name} told")


def _who(state: Contest, entry: int, number: int) -> Component:
    one = state.entries[entry]
    small = f"{one.car}, {attempt_words(state, number)}"
    return html.Span([html.B(state.teams.get(one.team, "")), html.Small(small)], className="who")


def _class(state: Contest, one: Board) -> list[Table]:
    most = longest(state)
    return _tables(class_title(state, one.class_name), [_line(state, r, most) for r in one.rows])


def _line(state: Contest, row: Row, most: float) -> Line:
    picture = bars(state.entries[row.entry], state.rules, most)
    score = score_text(row.score, state.rules)
    return place_text(row.place), row.team, row.car, picture, score


def _guesses(state: Contest) -> list[Table]:
    lines: list[Line] = [
        (
            *(place_text(one.place), one.team, one.car, None),
            _("off by {error}", error=error_text(one, state.rules)),
        )
        for one in forecasters(state)
    ]
    return _tables(_("Who knew their car best"), lines) if lines else []


def _tables(title: str, lines: list[Line]) -> list[Table]:
    """As many as it takes to show all lines, of about the same length."""
    count = max(ceil(len(lines) / ROWS), 1)
    size = max(ceil(len(lines) / count), 1)
    return [
        (f"{title}, {n + 1}/{count}" if count > 1 else title, lines[n * size : (n + 1) * size])
        for n in range(count)
    ]


def _packed(tables: list[Table]) -> list[list[Table]]:
    """Two small classes share a turn: a title needs as much room as a row."""
    found: list[list[Table]] = []
    for table in tables:
        if found and len(found[-1]) == 1 and len(found[-1][0][1]) + len(table[1]) < ROWS:
            found[-1].append(table)
        else:
            found.append([table])
    return found


def _turn(tables: list[Table]) -> Component:
    parts = [part for title, lines in tables for part in (html.H2(title), _rows(lines))]
    return html.Section(parts, className="turn", **attributes(data_turn=""))


def _team(name: str) -> Component:
    return html.B(name, className="long" if len(name) > LONG else "")


def _rows(lines: list[Line]) -> Component:
    rows = [
        html.Li(
            [
                html.Span(place, className="place"),
                html.Span([_team(team), html.Small(car)], className="who"),
                *([] if picture is None else [picture]),
                html.B(score),
            ]
        )
        for place, team, car, picture, score in lines
    ]
    return html.Ul(rows) if rows else html.P(_("No car is entered yet."))
