"""The contests of the store, and one contest as its organiser sees it."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_form import form, root, say, typed
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, fold, table
from unspool.app.parts.table import Cells
from unspool.app.permissions import may_change
from unspool.contest import Contest, Entry, findings, rules_toml
from unspool.finding import Severity
from unspool.render.words.contest import score_text
from unspool.render.words.findings import sentence

PATH = "/contest"
SHEETS = (
    *(("entries", "pdf", "Cars"), ("attempts", "pdf", "Sheet of attempts")),
    *(("results", "pdf", "Results"), ("certificates", "pdf", "Certificates")),
    *(("results", "csv", "Results (CSV)"), ("entries", "csv", "Cars (CSV)")),
    *(("log", "pdf", "Log"), ("log", "csv", "Log (CSV)")),
)


def contests_page(hub: ContestHub) -> Page:
    links = [
        html.Li(dcc.Link(hub.state(one).name or f"Contest {one}", href=f"{PATH}/{one}"))
        for one in reversed(hub.store.contests.listed())
    ]
    parts: list[Component] = [html.H1("Contests")]
    parts.append(html.Ul(links, className="links") if links else html.P("There is none yet."))
    if may_change.get():
        name = typed("name", "Name of the contest", number=False)
        parts.append(form("A new contest", [name], [say("Make it", "")]))
    return Page("Contests", html.Div(parts, **root(f"{PATH}/new")))


def contest_page(hub: ContestHub, contest: str) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    parts = [html.H1(state.name), _ways(contest), *_looks(state), _cars(state)]
    if may_change.get():
        parts += [_entering(), *_forms(state)]
    parts.append(_sheets(contest))
    data = root(f"{PATH}/{contest}/say", contest, state.revision)
    return Page(state.name, html.Div(parts, className="contest", **data))


def _ways(contest: str) -> html.P:
    ways = (("judge", "Judge's page"), ("board", "Board of results"))
    links = [dcc.Link(text, href=f"{PATH}/{contest}/{way}") for way, text in ways]
    return html.P([*links, dcc.Link("All contests", href=PATH)], className="links")


def _looks(state: Contest) -> list[Component]:
    found = findings(state)
    lines = [
        html.Li(
            sentence(one), className=f"finding{' warning' * (one.severity is Severity.WARNING)}"
        )
        for one in found
    ]
    return [html.Ul(lines, className="findings")] if lines else []


def _cars(state: Contest) -> Component:
    if not state.entries:
        return html.P("No car is entered yet.")
    head = ["Team", "Car", "Class", "Weight", "Age", "Forecast"]
    change = may_change.get() and not state.closed
    rows = [_car(state, one, change) for one in state.competing()]
    if change:
        head.append("Change")
    lot = f"drawn by lot with the seed {state.seed}" if state.seed else "as set here"
    return table(f"Cars in their order, {lot}", head, rows)


def _car(state: Contest, one: Entry, change: bool) -> Cells:
    cells: list[str | Component] = [
        state.teams.get(one.team, ""),
        one.car,
        one.class_in(state.rules) or "-",
        "-" if one.weight_g is None else f"{one.weight_g:g} g",
        "-" if one.age is None else f"{one.age:g}",
        score_text(one.forecast, state.rules),
    ]
    if change:
        number = str(one.number)
        name = f"{state.title(one)}"
        up = say("Up", "move", entry=number, label=f"Move up {name}")
        away = say("Withdraw", "withdraw", entry=number, label=f"Withdraw {name}")
        cells.append(html.Span([up, away], className="acts"))
    return cells


def _entering() -> Component:
    fields = [
        *(typed("team", "Team", number=False), typed("car", "Car", number=False)),
        *(typed("weight", "Weight, if a class asks for it", "g"), typed("age", "Age", "years")),
        typed("forecast", "Forecast, if the team hands one in", "m or s"),
    ]
    return form("Enter a car", fields, [say("Enter it", "enter")])


def _forms(state: Contest) -> Sequence[Component]:
    seed = typed("seed", "Seed, if there is one already", number=False)
    old, new = (
        typed("team", "Team as it is called", number=False),
        typed("name", "New name", number=False),
    )
    toml = rules_toml(state.rules)
    text = dcc.Textarea(id={"contest": "rules"}, name="rules", value=toml, rows=14)
    rules = html.Label([html.Span("Rules (TOML; docs/formats.md lists them)"), text])
    return (
        fold("Order by lot", form("", [seed], [say("Draw the order", "draw")])),
        fold("Rules", form("", [rules], [say("Keep these rules", "rules")])),
        fold("Rename a team", form("", [old, new], [say("Rename it", "rename-team")])),
        fold("Close the contest", form("", [], [say("Results are final", "close")])),
    )


def _sheets(contest: str) -> Component:
    links = [
        html.A(text, href=f"{PATH}/{contest}/sheets/{name}.{ending}")
        for name, ending, text in SHEETS
    ]
    return html.Div(links, className="downloads", **attributes(aria_label="Sheets", role="group"))
