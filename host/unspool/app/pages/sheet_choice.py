"""A choice that opens the same sheet of a class again, in another language or of another car."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html

from unspool.app.parts import attributes
from unspool.language import LANGUAGES
from unspool.names import name_key


def sheet_choice(name: str, label: str, options: Sequence[tuple[str, str]], now: str) -> html.Label:
    """options: value and words of each. name: the field of the page's address."""
    listed = [
        html.Option(
            words,
            value=value,
            selected=name_key(value) == name_key(now),
            lang=value if value in LANGUAGES else None,
        )
        for value, words in options
    ]
    select = html.Select(listed, **attributes(data_sheet=name))
    return html.Label([html.Span(label, className="name"), select], className="choice")
