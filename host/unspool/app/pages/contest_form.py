"""Parts of a contest's pages: fields by name, and buttons that say something of the contest."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import attributes
from unspool.app.parts.fields import NUMBER_BOX


def root(address: str, contest: str = "", revision: int = 0, follow: str = "") -> dict[str, Any]:
    """Attributes of a page's first element. follow: "always", or "idle" if nothing is typed."""
    given = {"data_contest": address, "data_number": contest, "data_revision": str(revision)}
    return attributes(**given, data_follow=follow)


def form(
    title: str, fields: Sequence[Component], buttons: Sequence[Component], *, keep: bool = False
) -> html.Section:
    """What is typed goes with whichever button is pressed; the answer is said below.

    keep: the fields show what holds now, and are not emptied after it.
    """
    said = html.P("", className="said", role="status", **attributes(data_said=""))
    head = [html.H2(title)] if title else []
    acts = html.P(list(buttons), className="acts")
    data = attributes(data_form="keep" if keep else "")
    return html.Section([*head, *fields, acts, said], className="plate", **data)


def typed(
    name: str, label: str, unit: str = "", number: bool = True, value: str = "", of: str = ""
) -> html.Div:
    """of: which of the page's forms it belongs to, if several have a field of that name."""
    kind: Any = NUMBER_BOX if number else {"type": "text", "autoComplete": "off"}
    words = [html.Span(label, className="name"), html.Span(unit, className="unit")]
    box = dcc.Input(id={"contest": name, "of": of}, name=name, value=value, **kind)
    return html.Div(html.Label([*words, box]), className="field")


def chosen(name: str, label: str, choices: Mapping[str, str], now: str) -> html.Div:
    """choices: their words by value."""
    options = [html.Option(words, value=one, selected=one == now) for one, words in choices.items()]
    box = html.Select(options, name=name, key=f"{name}:{now}")
    return html.Div(html.Label([html.Span(label, className="name"), box]), className="field")


def say(text: str, act: str, kind: str = "second", label: str = "", **said: str) -> html.Button:
    """said: what goes with it, by name. label: for screen readers, if the text alone is unclear."""
    data = attributes(data_say=json.dumps({"act": act, **said}))
    if label:
        data |= attributes(aria_label=label)
    return html.Button(text, type="button", className=kind, **data)
