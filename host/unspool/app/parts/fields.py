"""Fields of forms: a label with the unit, a hint, and the error beside what was typed.

Numbers are fields of text: a browser's own number field refuses a decimal comma in most languages.
`unspool.app.numbers` reads what was typed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.parts.texts import attributes

# Dash's own list of input modes lacks "decimal", which brings the comma on a phone's keys.
NUMBER_BOX: Any = {"type": "text", "inputMode": "decimal", "autoComplete": "off"}


@dataclass(frozen=True)
class Field:
    """name: the id {"field": name}, which is its name in the address that the form leads to.

    hint: how to find the value. error: what is wrong with what was typed. number: a phone then
    shows its keys for numbers.
    """

    name: str
    label: str
    value: str = ""
    unit: str = ""
    hint: str = ""
    error: str = ""
    number: bool = True


def field(one: Field) -> html.Div:
    """One field with everything that belongs to it."""
    words = [html.Span(one.label, className="name")]
    if one.unit:
        words.append(html.Span(one.unit, className="unit"))
    if one.hint:
        words.append(html.Span(one.hint, className="hint"))
    parts: list[Component] = [html.Label([*words, _box(one)])]
    if one.error:
        parts.append(html.P(one.error, className="error", role="alert"))
    return html.Div(parts, className="field wrong" if one.error else "field")


def _box(one: Field) -> dcc.Input:
    kind: Any = NUMBER_BOX if one.number else {"type": "text", "autoComplete": "off"}
    return dcc.Input(id={"field": one.name}, value=one.value, **kind)


def form_error(text: str) -> html.P:
    """What is wrong with a form as a whole."""
    return html.P(text, className="finding warning", role="alert")


def button(text: str, **data: str) -> html.Button:
    """A button for a script of ours: button("Save", data_note="/attempts/1/note")."""
    return html.Button(text, type="button", **attributes(**data))
