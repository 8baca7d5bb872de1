"""The cars of a contest on its organiser's page: their order, and what was entered of each."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.contest_form import form, say, typed
from unspool.app.parts import table
from unspool.app.parts.table import Cells
from unspool.app.query import Query
from unspool.contest import Contest, Entry, Event, Kind
from unspool.contest.events import alive
from unspool.language import _, localised
from unspool.render.words.contest import score_text
from unspool.render.words.contest_events import grams


def cars(state: Contest, change: bool) -> Component:
    """change: with buttons for who may change it."""
    those = state.competing()
    if not those:
        return html.P(_("No car is entered yet."))
    head = [_("Team"), _("Car"), _("Class"), _("Weight"), _("Age"), _("Forecast")]
    rows = [_car(state, one, change, those[0], those[-1]) for one in those]
    if change:
        head.append(_("Change"))
    lot = _("Cars in their order, drawn by lot with the seed {seed}", seed=state.seed)
    return table(lot if state.seed else _("Cars in their order"), head, rows)


def _car(state: Contest, one: Entry, change: bool, first: Entry, last: Entry) -> Cells:
    cells: list[str | Component] = [
        *(state.teams.get(one.team, ""), one.car, one.class_in(state.rules) or "-"),
        "-" if one.weight_g is None else grams(one.weight_g),
        "-" if one.age is None else localised(f"{one.age:g}"),
        score_text(one.forecast, state.rules),
    ]
    if change:
        cells.append(_buttons(state, one, one is first, one is last))
    return cells


def _buttons(state: Contest, one: Entry, first: bool, last: bool) -> Component:
    entry, car = str(one.number), state.title(one)
    labels = _("Move up {car}", car=car), _("Move down {car}", car=car)
    up = say("\u2191", "move", _kind(first), labels[0], entry=entry, to="up")
    down = say("\u2193", "move", _kind(last), labels[1], entry=entry, to="down")
    change = dcc.Link(
        _("Change"), href=f"?car={entry}", className="button", title=_("Change {car}", car=car)
    )
    return html.Span([up, down, change], className="acts")


def _kind(at_the_end: bool) -> str:
    """Of a button: one that would do nothing keeps its room and is not there."""
    return f"second{' nowhere' * at_the_end}"


def changing(state: Contest, query: Query) -> list[Component]:
    """A form for the car that the address names."""
    one = state.entries.get(int(query.number("car") or 0))
    if one is None or one.withdrawn:
        return []
    shown = [
        "" if value is None else localised(f"{value:.10g}")
        for value in (one.weight_g, one.age, one.forecast)
    ]
    team, entry = state.teams.get(one.team, ""), str(one.number)
    fields = [
        typed("team", _("Team"), number=False, value=team, of="change"),
        typed("car", _("Car"), number=False, value=one.car, of="change"),
        typed("weight", _("Weight"), "g", value=shown[0], of="change"),
        typed("age", _("Age"), _("years"), value=shown[1], of="change"),
    ]
    if not any(attempt.called or attempt.repeated for attempt in one.made()):
        fields.append(typed("forecast", _("Forecast"), value=shown[2], of="change"))
    buttons: list[Component] = [
        say(_("Keep this"), "change", "", entry=entry),
        say(_("Withdraw the car"), "withdraw", entry=entry),
        dcc.Link(_("Close"), href="?", className="button"),
    ]
    title = _("Change {car}", car=state.title(one))
    words = html.P(_("A new name of a team goes to all its cars. Results stay with the car."))
    return [form(title, [words, *fields], buttons, keep=True)]


def withdrawn(state: Contest, events: tuple[Event, ...]) -> list[Component]:
    """Those that were withdrawn, each with the way back."""
    gone = [one for one in alive(events) if one.kind is Kind.WITHDRAWN]
    forms = [_gone(state, one) for one in gone if one.data["entry"] in state.entries]
    return [html.H2(_("Withdrawn")), *forms] if forms else []


def _gone(state: Contest, event: Event) -> Component:
    car = state.title(state.entries[event.data["entry"]])
    label = _("Take back that {car} was withdrawn", car=car)
    back = say(_("Take back"), "undo", label=label, event=str(event.number))
    return form("", [html.P(car)], [back])
