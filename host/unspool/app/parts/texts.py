"""Short texts of pages, and attributes of their elements."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from unspool.language import day_words
from unspool.render.words.units import quantity

LONGEST_SHORT = 60  # characters


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
    return ", ".join(f"{quantity(turns, 'turns')} on {name}" for name, turns in wound)


def attributes(**attributes: str) -> dict[str, Any]:
    """aria_label="x" as the keyword argument aria-label, as Dash wants it."""
    return {name.replace("_", "-"): text for name, text in attributes.items()}
