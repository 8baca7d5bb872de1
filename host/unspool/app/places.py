"""The places of the app, in the order of a day at the track."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """name: the page's `place`, and the class of its mark in the navigation."""

    name: str
    text: str
    href: str


PLACES = (
    Place("track", "Track", "/"),
    Place("logbook", "Logbook", "/logbook"),
    Place("side-by-side", "Side by side", "/side-by-side"),
    Place("losses", "Losses", "/losses"),
    Place("next-winding", "Next winding", "/next-winding"),
    Place("cars", "Cars", "/cars"),
)
