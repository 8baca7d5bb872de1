"""The places of the app, in the order of a day at the track."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.language import later


@dataclass(frozen=True)
class Place:
    """name: the page's `place`, and the class of its mark in the navigation. text: in English."""

    name: str
    text: str
    href: str


PLACES = (
    Place("track", later("Track"), "/"),
    Place("logbook", later("Logbook"), "/logbook"),
    Place("side-by-side", later("Side by side"), "/side-by-side"),
    Place("losses", later("Losses"), "/losses"),
    Place("next-winding", later("Next winding"), "/next-winding"),
    Place("cars", later("Cars"), "/cars"),
)
