"""What the sensor gave too much or too little, and edges that end too early."""

from __future__ import annotations

import numpy as np

from unspool.reading.events.findings.evidence import NOTE, WARNING
from unspool.reading.events.types import Finding
from unspool.reading.motion.types import Motion

# Shares above which a note becomes a warning.
MANY_MISSING, MANY_CHATTER = 0.02, 0.02
PAST_TURN = 1.03  # times where the track turns the car round: it has rolled on since


def of_sensors(motion: Motion) -> list[Finding]:
    found = []
    total = max(len(motion.train), 1)
    if motion.handled:
        found.append(
            Finding(
                "handled",
                NOTE,
                f"{motion.handled} edges before or after the run are a hand's doing and were put "
                "aside.",
            )
        )
    if motion.missing:
        many = motion.missing > MANY_MISSING * total or motion.uncertain
        sure = (
            f" At {motion.uncertain} of the gaps it is not certain how many: distances after it "
            "may be off by a slot."
            if motion.uncertain
            else " All gaps were bridged with certainty."
        )
        found.append(
            Finding(
                "missing_edges",
                WARNING if many else NOTE,
                f"{motion.missing} edges are missing.{sure} Check the sensor's distance to the "
                "disc and shade it from bright light.",
            )
        )
    if motion.chatter:
        found.append(
            Finding(
                "chatter",
                WARNING if motion.chatter > MANY_CHATTER * total else NOTE,
                f"The sensor gave {motion.chatter} edges that no slot made. Clean the disc's "
                "slots and fix the sensor so that it cannot shake.",
            )
        )
    return found


def direction_unknown(motion: Motion, furthest_due_m: float) -> list[Finding]:
    """Edges that are all forward, of a car that turned round or should have.

    furthest_due_m: where the track turns the car round at the latest, infinite where it does not.
    """
    if not len(motion.train) or np.any(motion.train.direction < 0):
        return []
    turns = len(motion.legs) - 1
    if turns < 1 and motion.furthest_m <= PAST_TURN * furthest_due_m:
        return []
    cure = "Record with both sensors, so that the edges tell their direction."
    if turns < 1:
        text = (
            "The edges tell no direction, and no turning point shows where the track should turn "
            f"the car round, at {furthest_due_m:.2f} m: distances past it may be way rolled to and "
            f"fro. {cure}"
        )
        return [Finding("direction_not_known", WARNING, text)]
    places = motion.distance_m[np.cumsum(motion.legs)[:-1] - 1]
    text = (
        f"The edges tell no direction: where they slow to rest and set off again the car was taken "
        f"to turn round, {_times(turns)}, first at {motion.furthest_m:.2f} m. The way up to there "
        "is sure"
    )
    if turns > 1:
        low, high = sorted((float(places[-1]), float(places[-2])))
        text += f"; it came to rest about between {low:.2f} and {high:.2f} m"
    return [Finding("direction_not_known", WARNING if turns > 1 else NOTE, f"{text}. {cure}")]


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def cut_short(motion: Motion) -> Finding:
    last = abs(float(motion.speed_m_s[-1]))
    return Finding(
        "cut_short",
        WARNING,
        f"The edges end while the car still did {last:.2f} m/s: it was caught, hit something or "
        "was no longer recorded. The distance is where it was last seen, no stop was measured.",
    )
