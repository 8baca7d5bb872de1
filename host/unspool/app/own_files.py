"""Addresses of the app's own styles and scripts, with a hash of each file's content.

A browser may keep such a file for ever: if the content changes, so does the address.
"""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path

ASSETS = Path(__file__).parent / "assets"
# In this order, because a later rule overrides an earlier one.
STYLES = (
    "colours.css",
    "base.css",
    "frame.css",
    "banner.css",
    "controls.css",
    "parts.css",
    "track.css",
    "boards.css",
    "drawing.css",
    "attempt.css",
    "book.css",
    "media.css",
    "studies.css",
    "desk.css",
    "worksheet.css",
    "share.css",
    "contest.css",
    "print.css",
)
SCRIPTS = (
    "words.js",
    "server.js",
    "unsaved.js",
    "pictures.js",
    "arrive.js",
    "drawing.js",
    "sound.js",
    "boards.js",
    "track.js",
    "trial.js",
    "setup.js",
    "firmware.js",
    "choices.js",
    "correct.js",
    "drop.js",
    "book_table.js",
    "book_filter.js",
    "book_correct.js",
    "book_bar.js",
    "book.js",
    "media.js",
    "still.js",
    "desk.js",
    "copy.js",
    "send.js",
    "worksheet.js",
    "share.js",
    "who.js",
    "contest.js",
    "settings.js",
    "paper.js",
)
# plotly's own bundle of the kinds of picture that we draw: a third of the whole library.
PLOTLY = "plotly/plotly-cartesian-4.1.1.min.js"
# The table of the Logbook, of a library's parts that we use; `make grid` packs them.
GRID = "grid/grid-36.2.0.min.js"


@cache
def address(file: str) -> str:
    """The address of a file below assets/."""
    return f"/assets/{file}?{content_hash((ASSETS / file).read_bytes())}"


def content_hash(content: bytes) -> str:
    return sha256(content).hexdigest()[:12]
