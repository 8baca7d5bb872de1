"""The answer of a page: one sentence first, then figures, each beside what was expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dash import html
from dash.development.base_component import Component

from unspool.app.parts.texts import attributes
from unspool.language import _


@dataclass(frozen=True)
class Tile:
    """A figure: value with its unit ("12.61 m"), and what was expected of it ("13.42 m").

    note: a few words below both. worse: the difference is one to look at.
    """

    label: str
    value: str
    expected: str = ""
    note: str = ""
    worse: bool = False


def answer(sentence: str | Component, *more: str | Component) -> html.Div:
    """What the page has to say, in a sentence. `more` is in smaller type."""
    return html.Div(
        [html.P(sentence, className="first"), *(html.P(part) for part in more)],
        className="answer",
    )


def tiles(figures: Sequence[Tile], label: str = "") -> html.Section:
    return html.Section(
        [_tile(one) for one in figures],
        className="tiles",
        **attributes(aria_label=label or _("In figures")),
    )


def _tile(one: Tile) -> html.Div:
    parts = [
        html.Span(one.label, className="label"),
        html.Span(one.value, className="value"),
    ]
    if one.expected:
        parts.append(html.Span(_("expected {what}", what=one.expected), className="expected"))
    if one.note:
        parts.append(html.Span(one.note, className="remark"))
    return html.Div(parts, className="tile worse" if one.worse else "tile")
