"""How every page lets a picture be saved: two buttons below it, served by save.js."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Any

from unspool.language import _

KINDS = ("png", "svg")
LONGEST_NAME = 80  # leaves room for a folder in the shortest limits of today's systems

# Zooming alone: the drawing library's own camera would save as PNG only.
CONFIG: Any = {  # each taker has a type of its own for it
    "displaylogo": False,
    "modeBarButtons": [["zoom2d", "pan2d", "resetScale2d"]],
}


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
