"""Parts of a contest's pages: fields by name, and buttons that say something of the contest."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts import attributes
from unspool.app.parts.fields import NUMBER_BOX


def root(address: str, contest: str = "", revision: int = 0, follow: str = "") -> dict[str, Any]:
    """Attributes of a page's first element. follow: "always", or "idle" if nothing is typed."""
    given = {"data_contest": address, "data_number": contest, "data_revision": str(revision)}
    return attributes(**given, data_follow=follow)


def form(title: str, fields: Sequence[Component], buttons: Sequence[Component]) -> html.Section:
    """What is typed goes with whichever button is pressed; the answer is said below."""
    said = html.P("", className="said", role="status", **attributes(data_said=""))
    head = [html.H2(title)] if title else []
    acts = html.P(list(buttons), className="acts")
    return html.Section([*head, *fields, acts, said], className="plate", **attributes(data_form=""))


def typed(name: str, label: str, unit: str = "", number: bool = True) -> html.Div:
    kind: Any = NUMBER_BOX if number else {"type": "text", "autoComplete": "off"}
    words = [html.Span(label, className="name"), html.Span(unit, className="unit")]
    box = dcc.Input(id={"contest": name}, name=name, **kind)
    return html.Div(html.Label([*words, box]), className="field")


def say(text: str, act: str, kind: str = "second", label: str = "", **said: str) -> html.Button:
    """said: what goes with it, by name. label: for screen readers, if the text alone is unclear."""
    data = attributes(data_say=json.dumps({"act": act, **said}))
    if label:
        data |= attributes(aria_label=label)
    return html.Button(text, type="button", className=kind, **data)
