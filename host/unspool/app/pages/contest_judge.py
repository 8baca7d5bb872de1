"""A judge's page, for a phone: call the next, tape, remark, take back."""

from __future__ import annotations

from datetime import UTC, datetime

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_form import form, root, say, typed
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, empty
from unspool.app.parts.texts import local_time
from unspool.app.permissions import holds
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.query import Query
from unspool.app.rights import Right
from unspool.contest import Attempt, Contest, Event, Kind
from unspool.contest.events import alive
from unspool.contest.order import next_attempt
from unspool.contest.scoring import wheel_value
from unspool.judging import events_in
from unspool.render.contest.sheets import event_text
from unspool.render.words.contest import score_text

REMARKS = ("Hit the wall", "Left the lane", "Touched by hand")
NEWEST = 8  # events that can be taken back here; the log has all


def judge_page(hub: ContestHub, contest: str, query: Query) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    title = f"Judge: {state.name}"
    if not holds(Right.JUDGE):
        pin = html.Span(["To judge, give the ", html.A("PIN", href=PIN_PATH), " first."])
        return Page(title, empty(title, pin))
    events = events_in(hub.store, contest)
    parts = [html.H1(state.name), _name(), *_attempt(state, query), _calling(state), *_open(state)]
    parts += _notes(state, events)
    parts.append(html.P(dcc.Link("Cars, rules and sheets", href=f"/contest/{contest}")))
    data = root(f"/contest/{contest}/say", contest, state.revision, "idle")
    return Page(title, html.Div(parts, className="contest judge", **data))


def _name() -> Component:
    box = dcc.Input(
        id={"contest": "who"}, name="who", type="text", autoComplete="name", maxLength=40
    )
    return html.Div(
        html.Label([html.Span("Your name", className="name"), box]),
        className="field judging",
        **attributes(data_who=""),
    )


def _attempt(state: Contest, query: Query) -> list[Component]:
    chosen = _chosen(state, query)
    if chosen is None:
        return [html.P("No attempt is called yet.", className="lead")]
    one = state.entries[chosen[0]].attempts.get(chosen[1]) or Attempt(*chosen)
    entry, timed = state.entries[one.entry], state.rules.least_wins
    which = {"entry": str(one.entry), "attempt": str(one.number)}
    field = typed("seconds", "Time", "s") if timed else typed("metres", "Distance by tape", "m")
    act, text = ("time", "Keep the time") if timed else ("tape", "Keep the distance")
    measure = form("", [field], [say(text, act, "", **which)])
    penalties = [say(p.name, "penalty", **which, penalty=p.name) for p in state.rules.penalties]
    remarks = [say(text, "remark", **which, remark=text) for text in REMARKS]
    own = typed("remark", "Another remark", number=False)
    another = form("", [own], [say("Keep the remark", "remark", **which)])
    head = html.H2([html.B(state.teams.get(entry.team, "")), f" {entry.car}"])
    number = html.P(f"Attempt {one.number} of {state.rules.attempts}", className="quiet")
    body = [head, number, *_measured(state, one), measure]
    if penalties:
        body.append(form("Penalty", [], penalties))
    body += [form("Remark", [], remarks), another]
    return [html.Article(body, className="called", **attributes(data_seen=str(one.revision)))]


def _chosen(state: Contest, query: Query) -> tuple[int, int] | None:
    entry, number = query.number("entry"), query.number("attempt")
    if entry in state.entries and number is not None and 1 <= number <= 2 * state.rules.attempts:
        return int(entry or 0), int(number)
    return state.called


def _measured(state: Contest, one: Attempt) -> list[Component]:
    found: list[Component] = []
    if one.tape_m is not None:
        found.append(html.Li(f"Tape: {one.tape_m:.2f} m, by {one.tape_by}"))
    if one.time_s is not None:
        found.append(html.Li(f"Time: {one.time_s:.2f} s"))
    if one.wheel is not None:
        wheel = score_text(wheel_value(one, state.rules), state.rules)
        run = f"/attempts/{one.wheel.run}"
        found.append(html.Li(["Wheel: ", dcc.Link(wheel, href=run, className="wheel")]))
    found += [html.Li(f"Second tape: {m:.2f} m, by {who}") for who, m in one.doubted]
    found += [html.Li(f"Penalty: {p.name}") for p in one.penalties]
    found += [html.Li(f"Remark: {text}") for text in one.remarks]
    return [html.Ul(found, className="measured")] if found else []


def _calling(state: Contest) -> Component:
    following = next_attempt(state)
    if state.closed:
        return html.P("The contest is closed.", className="finding")
    if following is None:
        return html.P("All attempts were called.", className="finding")
    entry = state.entries[following[0]]
    words = f"{state.title(entry)}, attempt {following[1]}"
    call = say("Call the next", "next", "", seen=str(state.revision))
    return form("Next", [html.P(words, className="next")], [call])


def _open(state: Contest) -> list[Component]:
    """Other attempts that were called, and have no tape and no time yet."""
    links = [
        html.Li(dcc.Link(f"{state.title(entry)}, attempt {one.number}", href=_link(one)))
        for entry in state.competing()
        for one in entry.made()
        if one.called and one.tape_m is None and one.time_s is None
        if (one.entry, one.number) != state.called
    ]
    return [html.H2("Called, not measured"), html.Ul(links, className="links")] if links else []


def _link(one: Attempt) -> str:
    return f"?entry={one.entry}&attempt={one.number}"


def _notes(state: Contest, events: tuple[Event, ...]) -> list[Component]:
    of_attempts = [one for one in alive(events) if "attempt" in one.data or one.kind is Kind.CLOSED]
    items = [_note(state, one) for one in reversed(of_attempts[-NEWEST:])]
    if not items:
        return []
    return [html.H2("Noted last"), html.Ul(items, className="noted")]


def _note(state: Contest, one: Event) -> Component:
    when = local_time(datetime.fromtimestamp(one.made_us / 1e6, UTC))
    text = event_text(state, one)
    undo = say("Take back", "undo", event=str(one.number), label=f"Take back: {text}")
    said = html.P("", role="status", **attributes(data_said=""))
    words = html.Span([html.B(text), html.Small(f"{one.who}, {when}")])
    return html.Li([words, undo, said], **attributes(data_form=""))
