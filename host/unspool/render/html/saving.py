"""How every page lets a picture be saved: two buttons below it, served by save.js."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Any

from unspool.language import ENGLISH, _, language, later

KINDS = ("png", "svg")
LONGEST_NAME = 80  # leaves room for a folder in the shortest limits of today's systems

# Zooming alone: the drawing library's own camera would save as PNG only.
_CONFIG = {
    "displaylogo": False,
    "modeBarButtons": [["zoom2d", "pan2d", "resetScale2d"]],
}
# What the drawing library says itself.
_OWN_WORDS = (
    later("Zoom"),
    later("Pan"),
    later("Reset axes"),
    later("Double-click to zoom back out"),
)


def picture_config() -> Any:  # each taker has a type of its own for it
    """The settings of the drawing library, with its words in the reader's language."""
    code = language()
    if code == ENGLISH:
        return _CONFIG
    own = {"dictionary": {words: _(words) for words in _OWN_WORDS}}
    return {**_CONFIG, "locale": code, "locales": {code: own}}


def save_script() -> str:
    """The script that serves the buttons marked data-save."""
    return files("unspool.render.html").joinpath("save.js").read_text("utf-8")


def file_name(*words: str) -> str:
    """A name that every system takes, without its ending: "sandpiper-run-3-speed"."""
    parts = (re.sub(r"[\W_]+", "-", word.lower()).strip("-") for word in words)
    return "-".join(part for part in parts if part)[:LONGEST_NAME].rstrip("-") or "picture"


def save_word(kind: str) -> str:
    """What the button of "png" or "svg" says."""
    return _("Save as {kind}", kind=kind.upper())
