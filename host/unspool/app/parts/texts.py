"""Short texts of pages, and attributes of their elements."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from dash import html
from dash.development.base_component import Component

from unspool.language import day_words
from unspool.render.words.corrections import turns_on

LONGEST_SHORT = 60  # characters
_FIELD = re.compile(r"\{(\w+)\}")


def local_time(moment: datetime) -> str:
    """The moment on this computer's clock: "25 Nov 2025, 14:03"."""
    local = moment.astimezone()
    return f"{day_words(local.date())}, {local:%H:%M}"


def short_note(note: str) -> str:
    """The note, cut to a line of a list."""
    words = " ".join(note.split())
    return words if len(words) <= LONGEST_SHORT else words[: LONGEST_SHORT - 3].rstrip() + "..."


def winding_text(wound: Iterable[tuple[str, float]]) -> str:
    """ "3.50 turns on start, 5.30 turns on run"."""
    return ", ".join(turns_on(name, turns) for name, turns in wound)


def with_parts(text: str, **parts: Component) -> html.Span:
    """A sentence with parts of a page in its {fields}, such as a link."""
    pieces: list[str | Component] = list(_FIELD.split(text))
    pieces[1::2] = [parts[str(name)] for name in pieces[1::2]]
    return html.Span(pieces)


def attributes(**attributes: str) -> dict[str, Any]:
    """aria_label="x" as the keyword argument aria-label, as Dash wants it."""
    return {name.replace("_", "-"): text for name, text in attributes.items()}
