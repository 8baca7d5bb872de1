"""Parts of a judge's page: who comes next, run-offs, all attempts, and what was noted last."""

from __future__ import annotations

from datetime import UTC, datetime

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.contest_judging import attempt_query
from unspool.app.pages.contest_form import form, say
from unspool.app.parts import attributes, fold, table
from unspool.app.parts.texts import local_time
from unspool.app.permissions import may_change
from unspool.contest import Attempt, Contest, Event, Kind, Tie, is_over, order_of, ties
from unspool.contest.events import alive
from unspool.contest.order import next_attempt
from unspool.contest.state import attempt_key
from unspool.judging.judge import JUDGED
from unspool.language import _
from unspool.render.contest.sheets import class_title
from unspool.render.words.contest import attempt_text
from unspool.render.words.contest_events import attempt_title, attempt_words, event_text
from unspool.render.words.people import person_words

NEWEST = 8  # events that can be taken back here; the log has all


def calling(state: Contest) -> Component:
    following = next_attempt(state)
    if state.closed:
        return html.P(_("The contest is closed."), className="finding")
    if following is None:
        return html.P(_("All attempts were called."), className="finding")
    words = attempt_title(state, *following)
    call = say(_("Call the next"), "next", "", seen=str(state.revision))
    return form(_("Next"), [html.P(words, className="next")], [call])


def run_offs(state: Contest) -> list[Component]:
    """A button for each place that several cars share after all attempts."""
    return [] if state.closed else [_run_off(state, one) for one in ties(state)]


def _run_off(state: Contest, tie: Tie) -> Component:
    title = _("Place {place} is shared", place=tie.place)
    if state.rules.classes:
        title = f"{class_title(state, tie.class_name)}: {title}"
    cars = [html.Li(state.title(state.entries[number])) for number in tie.entries]
    words = _("Let them share it, or let an extra attempt of each decide.")
    button = say(_("Call a run-off"), "run-off", entry=str(tie.entries[0]))
    return form(title, [html.Ul(cars), html.P(words)], [button])


def open_attempts(state: Contest) -> list[Component]:
    """Other attempts that were called, and are not over yet."""
    links = [
        html.Li(_link(state, one, attempt_title(state, one.entry, one.number)))
        for entry in state.competing()
        for one in entry.made()
        if one.called and not is_over(one, state.rules)
        if (one.entry, one.number) != state.called
    ]
    if not links:
        return []
    return [html.H2(_("Called, not measured")), html.Ul(links, className="links")]


def _link(state: Contest, one: Attempt, words: str) -> dcc.Link:
    label = attempt_title(state, one.entry, one.number)
    return dcc.Link(words, href=attempt_query(one.entry, one.number), title=label)


def all_attempts(state: Contest) -> Component:
    """Each car's attempts: to correct one, or to call another car than the next."""
    most = max([state.rules.attempts, *(number for _entry, number in order_of(state))])
    numbers = range(1, most + 1)
    heads = [_("Car"), *(attempt_words(state, number) for number in numbers)]
    rows = []
    for entry in state.competing():
        made = [state.attempt(entry.number, number) for number in numbers]
        rows.append([state.title(entry), *(_cell(state, one) for one in made)])
    words = html.P(_("Choose an attempt to correct it, or to call it before its turn."))
    return fold(_("All attempts"), words, table(_("All attempts"), heads, rows))


def _cell(state: Contest, one: Attempt) -> Component | str:
    regular = one.number <= state.rules.attempts
    if not regular and (one.entry, one.number) not in order_of(state):
        return "-"
    text = attempt_text(one, state.rules)
    if text == "-":
        text = _("not measured") if one.called else _("to come")
    return _link(state, one, text)


def noted(
    state: Contest, events: tuple[Event, ...], chosen: tuple[int, int] | None
) -> list[Component]:
    """What can be taken back; the closing only by who may change everything.

    Of an older attempt all is shown, as it is needed after a complaint hours later.
    """
    kinds = JUDGED | ({Kind.CLOSED} if may_change.get() else set())
    older = chosen if chosen != state.called else None
    shown = [one for one in alive(events) if one.kind in kinds]
    of_older = [one for one in shown if older and attempt_key(one) == older]
    others = [one for one in shown if one not in of_older]
    return [
        *_listed(state, _("Noted of this attempt"), of_older),
        *_listed(state, _("Noted last"), others[-NEWEST:]),
    ]


def _listed(state: Contest, title: str, shown: list[Event]) -> list[Component]:
    items = [_note(state, one) for one in reversed(shown)]
    return [html.H2(title), html.Ul(items, className="noted")] if items else []


def _note(state: Contest, one: Event) -> Component:
    when = local_time(datetime.fromtimestamp(one.made_us / 1e6, UTC))
    text = event_text(state, one)
    label = _("Take back: {text}", text=text)
    undo = say(_("Take back"), "undo", event=str(one.number), label=label)
    said = html.P("", role="status", **attributes(data_said=""))
    words = html.Span([html.B(text), html.Small(f"{person_words(one.who)}, {when}")])
    return html.Li([words, undo, said], **attributes(data_form=""))
