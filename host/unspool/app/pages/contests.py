"""The contests of the store, and one contest as its organiser sees it."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_cars import cars, changing, withdrawn
from unspool.app.pages.contest_form import form, root, say, typed
from unspool.app.pages.contest_rules import rules_fold
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, fold
from unspool.app.permissions import may_change
from unspool.app.query import Query
from unspool.contest import Contest, findings, is_over, order_of
from unspool.contest.order import next_attempt
from unspool.errors import StoreError, StoreWaitError
from unspool.finding import Severity
from unspool.judging import events_in
from unspool.language import _, many
from unspool.render.words.contest_events import attempt_title
from unspool.render.words.findings import sentence
from unspool.render.words.values import as_sentence

PATH = "/contest"


def contests_page(hub: ContestHub) -> Page:
    lines = [_contest(hub, one) for one in reversed(hub.store.contests.listed())]
    parts: list[Component] = [html.H1(_("Contests"))]
    none = html.P(_("There is none yet."))
    parts.append(html.Ul(lines, className="links") if lines else none)
    if may_change.get():
        name = typed("name", _("Name of the contest"), number=False)
        parts.append(form(_("A new contest"), [name], [say(_("Make it"), "", "")]))
    return Page(_("Contests"), html.Div(parts, className="contest", **root(f"{PATH}/new")))


def _contest(hub: ContestHub, number: str) -> Component:
    """One that cannot be read is no obstacle to the others."""
    try:
        return _line(hub.state(number), number)
    except StoreWaitError:
        raise
    except StoreError as error:
        return html.Li(as_sentence(str(error)), className="finding")


def _line(state: Contest, number: str) -> Component:
    name = state.name or _("Contest {number}", number=number)
    cars = many("{count} car", "{count} cars", len(state.competing()))
    final = _("final results") if state.closed else _made(state)
    words = html.Span(f"{cars}, {final}", className="quiet")
    return html.Li([dcc.Link(name, href=f"{PATH}/{number}"), " ", words])


def _made(state: Contest) -> str:
    every = order_of(state)
    over = sum(is_over(state.attempt(*key), state.rules) for key in every)
    return _("{made} of {count} attempts made", made=over, count=len(every))


def contest_page(hub: ContestHub, contest: str, query: Query) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    parts = [html.H1(state.name), _ways(contest), _standing(state), *_looks(state)]
    may = may_change.get() and not state.closed
    if may:
        parts += changing(state, query)
    parts.append(cars(state, may))
    if may:
        parts += withdrawn(state, events_in(hub.store, contest))
        parts += [_entering(), _several(), _lot(), rules_fold(state), _naming(state), _closing()]
    parts += _sheets(contest)
    data = root(f"{PATH}/{contest}/say", contest, state.revision)
    return Page(state.name, html.Div(parts, className="contest", **data))


def _ways(contest: str) -> html.P:
    ways = (("judge", _("Judge's page")), ("board", _("Board of results")))
    links = [dcc.Link(text, href=f"{PATH}/{contest}/{way}") for way, text in ways]
    return html.P([*links, dcc.Link(_("All contests"), href=PATH)], className="links")


def _standing(state: Contest) -> html.P:
    if state.closed:
        return html.P(_("The results are final. The judge's page can take that back."))
    following = next_attempt(state)
    after = attempt_title(state, *following) if following else "-"
    return html.P(_("{made}. Next: {attempt}.", made=_made(state), attempt=after))


def _looks(state: Contest) -> list[Component]:
    lines = [
        html.Li(
            sentence(one), className=f"finding{' warning' * (one.severity is Severity.WARNING)}"
        )
        for one in findings(state)
    ]
    return [html.Ul(lines, className="findings")] if lines else []


def _entering() -> Component:
    fields = [
        *(typed("team", _("Team"), number=False), typed("car", _("Car"), number=False)),
        *(
            typed("weight", _("Weight, if a class asks for it"), "g"),
            typed("age", _("Age"), _("years")),
        ),
        typed("forecast", _("Forecast, if the team hands one in"), _("m or s")),
    ]
    return form(_("Enter a car"), fields, [say(_("Enter it"), "enter", "")])


def _several() -> Component:
    """For a list that stands in a spreadsheet."""
    words = _(
        "One car a line: team, car, weight in g, age, forecast. The last three may be left out. You"
        " can copy the lines from a spreadsheet."
    )
    box = dcc.Textarea(id={"contest": "cars"}, name="cars", rows=6)
    label = html.Label([html.Span(words), box])
    enter = say(_("Enter them all"), "enter-several")
    return fold(_("Enter several cars at once"), form("", [label], [enter]))


def _lot() -> Component:
    seed = typed("seed", _("Seed, if there is one already"), number=False)
    words = html.P(_("Anyone who knows the seed can draw again and gets the same order."))
    return fold(_("Order by lot"), form("", [words, seed], [say(_("Draw the order"), "draw")]))


def _naming(state: Contest) -> Component:
    name = typed("name", _("Name of the contest"), number=False, value=state.name, of="naming")
    rename = say(_("Rename it"), "rename")
    return fold(_("Rename the contest"), form("", [name], [rename], keep=True))


def _closing() -> Component:
    words = html.P(
        _("Then nothing can be noted, until somebody takes it back; the log shows that.")
    )
    final = say(_("Results are final"), "close")
    return fold(_("Close the contest"), form("", [words], [final]))


def _sheets(contest: str) -> list[Component]:
    printed = (
        *(("entries", _("Cars")), ("attempts", _("Sheet of attempts"))),
        *(("results", _("Results")), ("certificates", _("Certificates")), ("log", _("Log"))),
    )
    tables = (("entries", _("Cars")), ("results", _("Results")), ("log", _("Log")))
    return [
        *_downloads(contest, _("To print (PDF)"), printed, "pdf"),
        *_downloads(contest, _("For a spreadsheet (CSV)"), tables, "csv"),
    ]


def _downloads(
    contest: str, title: str, sheets: tuple[tuple[str, str], ...], ending: str
) -> list[Component]:
    links = [
        html.A(
            text,
            href=f"{PATH}/{contest}/sheets/{name}.{ending}",
            **attributes(aria_label=f"{text} ({ending.upper()})"),
        )
        for name, text in sheets
    ]
    label = attributes(aria_label=title, role="group")
    return [html.H2(title), html.Div(links, className="downloads", **label)]
