"""A judge's page, for a phone: call the next, tape, remark, take back."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_hub import ContestHub
from unspool.app.pages.contest_calls import (
    all_attempts,
    calling,
    noted,
    open_attempts,
    run_offs,
)
from unspool.app.pages.contest_form import form, root, say, typed
from unspool.app.pages.page import Page
from unspool.app.parts import attributes, empty, fold
from unspool.app.permissions import holds, pin_name
from unspool.app.pin import PATH as PIN_PATH
from unspool.app.query import Query
from unspool.app.rights import Right
from unspool.contest import Attempt, Contest, is_over
from unspool.contest.scoring import wheel_value
from unspool.judging import events_in
from unspool.judging.judge import MOST_EXTRA
from unspool.language import _
from unspool.render.words.contest import score_text
from unspool.render.words.contest_events import attempt_words, metres, seconds
from unspool.render.words.people import person_words


def judge_page(hub: ContestHub, contest: str, query: Query) -> Page:
    """Raises InputError if there is no such contest."""
    state = hub.state(contest)
    title = _("Judge: {contest}", contest=state.name)
    if not holds(Right.JUDGE):
        pin = html.A(_("Give the PIN"), href=PIN_PATH)
        return Page(title, empty(title, html.Span([_("To judge, give the PIN first."), " ", pin])))
    events = events_in(hub.store, contest)
    chosen = _chosen(state, query)
    parts = [html.H1(state.name), _name(), *_turns(state, chosen)]
    parts += [*run_offs(state), *open_attempts(state), all_attempts(state)]
    parts += noted(state, events, chosen)
    parts.append(html.P(dcc.Link(_("Cars, rules and sheets"), href=f"/contest/{contest}")))
    data = root(f"/contest/{contest}/say", contest, state.revision, "idle")
    return Page(title, html.Div(parts, className="contest judge", **data))


def _turns(state: Contest, chosen: tuple[int, int] | None) -> list[Component]:
    """The attempt and the next one; once it is over, the button for the next is the first."""
    attempt, following = _attempt(state, chosen), calling(state)
    if chosen and is_over(state.attempt(*chosen), state.rules):
        return [following, *attempt]
    return [*attempt, following]


def _name() -> Component:
    """A judge with a PIN of their own has said it by that."""
    if name := pin_name.get():
        return html.P(_("You judge as {name}.", name=name))
    box = dcc.Input(
        id={"contest": "who"}, name="who", type="text", autoComplete="name", maxLength=40
    )
    return html.Div(
        html.Label([html.Span(_("Your name"), className="name"), box]),
        className="field judging",
        **attributes(data_who=""),
    )


def _attempt(state: Contest, chosen: tuple[int, int] | None) -> list[Component]:
    if chosen is None:
        return [html.P(_("No attempt is called yet."), className="lead")]
    one = state.attempt(*chosen)
    body = [*_head(state, one), *_measured(state, one)]
    if not state.closed:
        body += _acts(state, one)
    if chosen != state.called and state.called:
        follow = dcc.Link(_("Follow the calls"), href="?", className="wheel")
        body.append(html.P([_("This page stays with this attempt."), " ", follow]))
    return [html.Article(body, className="called", **attributes(data_seen=str(one.revision)))]


def _chosen(state: Contest, query: Query) -> tuple[int, int] | None:
    """The attempt that the address names, or else the one that was called last."""
    entry, number = query.number("entry"), query.number("attempt")
    most = state.rules.attempts + MOST_EXTRA
    if entry in state.entries and number is not None and 1 <= number <= most:
        return int(entry or 0), int(number)
    return state.called


def _head(state: Contest, one: Attempt) -> list[Component]:
    entry, number = state.entries[one.entry], one.number
    of = _("Attempt {number} of {count}", number=number, count=state.rules.attempts)
    words = of if number <= state.rules.attempts else attempt_words(state, number)
    team = html.H2([html.B(state.teams.get(entry.team, "")), f" {entry.car}"])
    return [team, html.P(words, className="quiet")]


def _acts(state: Contest, one: Attempt) -> list[Component]:
    which = {"entry": str(one.entry), "attempt": str(one.number)}
    parts: list[Component] = []
    if not one.called:
        words = _("This attempt is not called yet.")
        parts.append(form("", [html.P(words)], [say(_("Call it now"), "call", "", **which)]))
    field = typed("metres", _("Distance by tape"), "m")
    act, text = "tape", _("Keep the distance")
    if state.rules.least_wins:
        field, act, text = typed("seconds", _("Time"), "s"), "time", _("Keep the time")
    parts.append(form("", [field], [say(text, act, "", **which)]))
    penalties = [say(p.name, "penalty", **which, penalty=p.name) for p in state.rules.penalties]
    if penalties:
        parts.append(form(_("Penalty"), [], penalties))
    remarks = [say(text, "remark", **which, remark=text) for text in _remarks()]
    own = typed("remark", _("Another remark"), number=False)
    another = form("", [own], [say(_("Keep the remark"), "remark", **which)])
    return [*parts, form(_("Remark"), [], remarks), another, _repeating(which)]


def _remarks() -> tuple[str, ...]:
    return _("Hit the wall"), _("Left the lane"), _("Touched by hand")


def _repeating(which: dict[str, str]) -> Component:
    why = typed("reason", _("Why it is made again"), number=False)
    words = _("What was noted of it counts no more, but stays in the log. It comes next.")
    again = form("", [html.P(words), why], [say(_("Make it again"), "repeat", **which)])
    return fold(_("Make this attempt again"), again)


def _measured(state: Contest, one: Attempt) -> list[Component]:
    found: list[str | Component] = []
    if one.tape_m is not None:
        by = person_words(one.tape_by)
        found.append(_("Tape: {metres}, by {who}", metres=metres(one.tape_m), who=by))
    if one.time_s is not None:
        found.append(_("Time: {seconds}", seconds=seconds(one.time_s)))
    if one.wheel is not None:
        wheel = score_text(wheel_value(one, state.rules), state.rules)
        run = dcc.Link(wheel, href=f"/attempts/{one.wheel.run}", className="wheel")
        found.append(html.Span([_("Wheel:"), " ", run]))
    for who, value in one.doubted:
        by = person_words(who)
        found.append(_("Second tape: {metres}, by {who}", metres=metres(value), who=by))
    found += [_("Penalty: {name}", name=p.name) for p in one.penalties]
    found += [_("Remark: {text}", text=text) for text in one.remarks]
    return [html.Ul([html.Li(x) for x in found], className="measured")] if found else []
