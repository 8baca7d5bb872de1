"""Cursor: what a page has already, as its questions say."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Cursor:
    """What a page has already: nothing, by default. brief: it shows the banner alone.

    board: the key of the board that it shows, "" if it shows all of them.
    """

    session: str = ""
    version: int = -1
    figure: int = -1
    run: str = ""
    have: int = 0
    brief: bool = False
    board: str = ""
