"""What an attempt is called: by its car, its day, and its place among that car's of the day."""

from __future__ import annotations

from datetime import date

from unspool.language import ENGLISH, _, day_words, language, later

NO_CAR = later("No car")


def attempt_name(car: str | None, day: date, number: int, today: date) -> str:
    """ "Sandpiper, 27 Nov, 3rd", the 3rd of that car on that day.

    The year is said if it is not today's. car: None for a run without one.
    """
    named, said = car or _(NO_CAR), day_words(day, today)
    if language() != ENGLISH:
        return _("{car}, {day}, no. {number}", car=named, day=said, number=number)
    return f"{named}, {said}, {ordinal(number)}"


def ordinal(number: int) -> str:
    """ "1st", "2nd", "3rd", "11th"."""
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10)
    return f"{number}{ending or 'th'}"
