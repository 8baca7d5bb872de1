"""A picture of a car's attempts: a bar each, and those that make its score stand out."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

from unspool.app.parts import attributes
from unspool.contest import Attempt, Contest, Entry, Rules, attempt_score, counting
from unspool.language import _
from unspool.render.words.contest import attempt_text


def longest(state: Contest) -> float:
    """The greatest score of all attempts, which fills its bar; 0 if there is none."""
    every = (attempt_score(one, state.rules) for e in state.competing() for one in e.made())
    return max((score for score in every if score is not None), default=0.0)


def bars(entry: Entry, rules: Rules, most: float) -> Component:
    """A bar for each attempt up to the last one that the car may make."""
    count = max([rules.attempts, *entry.attempts])
    made = [entry.attempts.get(n, Attempt(entry.number, n)) for n in range(1, count + 1)]
    best = counting(entry, rules)
    lines = [_bar(one, rules, most, one.number in best) for one in made]
    said = ", ".join(attempt_text(one, rules) for one in made)
    label = attributes(aria_label=_("Attempts: {scores}", scores=said))
    return html.Span(lines, className="bars", role="img", **label)


def _bar(one: Attempt, rules: Rules, most: float, counts: bool) -> Component:
    score = attempt_score(one, rules)
    share = 0.0 if score is None or most == 0.0 else score / most
    bar = html.I(style={"width": f"{100.0 * share:.1f}%"})
    room = html.Span(bar, className="room")
    return html.Span(
        [room, html.Span(attempt_text(one, rules))], className=f"bar{' counts' * counts}"
    )
