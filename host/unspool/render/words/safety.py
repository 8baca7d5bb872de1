"""What can hurt somebody, in the words that every page, card and command uses."""

from __future__ import annotations

from unspool.language import _, later

NEAR_THE_CAR = later(
    "Keep feet and hands from under the weight. Protect your eyes near the wound string. Keep the "
    "run-out clear."
)
RESPONSIBLE = later("Follow local rules and the person who is responsible for the place.")
# The same for the trackside, a line each.
AT_THE_TRACK = (
    later("Keep feet and hands from under the weight. Protect your eyes near the wound string."),
    later("Wind the car at the place where it runs, with its tower clear of people."),
    later("Keep the run-out clear and fenced. Nobody stands in front of a wound car."),
    RESPONSIBLE,
)


def caution() -> str:
    """What stands below a plan and a prediction."""
    return f"{_(NEAR_THE_CAR)} {_(RESPONSIBLE)}"
