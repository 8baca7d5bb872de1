"""What the sensor gave too much or too little, and edges that end too early."""

from __future__ import annotations

import numpy as np

from unspool.finding import Finding, note, warning, warning_if
from unspool.reading.events.codes import ReadingCode
from unspool.reading.motion.rounded_times import LEAST_SD, MOST_SD, rounding_slots
from unspool.reading.motion.types import Motion

# Shares above which a note becomes a warning.
MANY_MISSING, MANY_CHATTER = 0.02, 0.02
PAST_TURN = 1.03  # times the way to where the track turns the car round: it has rolled on since


def of_sensors(motion: Motion) -> list[Finding]:
    found = []
    if lost := motion.train.lost_before:
        found.append(warning(ReadingCode.EDGES_LOST_BEFORE, edges=lost))
    total = max(len(motion.train), 1)
    if motion.handled:
        found.append(note(ReadingCode.HANDLED, edges=int(motion.handled)))
    if motion.missing:
        many = motion.missing > MANY_MISSING * total or motion.uncertain > 0
        missing, uncertain = int(motion.missing), int(motion.uncertain)
        found.append(
            warning_if(many, ReadingCode.MISSING_EDGES, missing=missing, uncertain=uncertain)
        )
    if motion.chatter:
        many = motion.chatter > MANY_CHATTER * total
        found.append(warning_if(many, ReadingCode.CHATTER, edges=int(motion.chatter)))
    return found


def coarse_times(motion: Motion, pitch_m: float) -> list[Finding]:
    """Times that were rounded to so much that the fastest edges' places suffer."""
    tick_s = motion.train.tick_s
    slots = rounding_slots(motion.time_s, tick_s)
    if slots < LEAST_SD:
        return []
    hides = slots > MOST_SD
    place_sd_m = float(slots * pitch_m)
    return [
        warning_if(
            hides, ReadingCode.COARSE_TIMES, tick_s=tick_s, place_sd_m=place_sd_m, hides=hides
        )
    ]


def direction_unknown(motion: Motion, furthest_due_m: float, sensors: int) -> list[Finding]:
    """Edges that are all forward, of a car that turned round or should have.

    furthest_due_m: where the track turns the car round at the latest, infinite if it does not.
    sensors: with one alone no run shows directions, and that is said.
    """
    if not len(motion.train) or np.any(motion.train.direction < 0):
        return []
    turns = len(motion.legs) - 1
    if turns < 1:
        if motion.furthest_m <= PAST_TURN * furthest_due_m:
            one = note(ReadingCode.DIRECTION_NOT_KNOWN, turns=turns, due_m=None)
            return [one] if sensors == 1 else []
        due_m = float(furthest_due_m)
        return [warning(ReadingCode.DIRECTION_NOT_KNOWN, turns=turns, due_m=due_m)]
    low, high = _rest_between(motion) if turns > 1 else (None, None)
    return [
        warning_if(
            turns > 1,
            ReadingCode.DIRECTION_NOT_KNOWN,
            turns=turns,
            furthest_m=float(motion.furthest_m),
            rest_low_m=low,
            rest_high_m=high,
        )
    ]


def _rest_between(motion: Motion) -> tuple[float, float]:
    """The last two turning points: the car came to rest about between them."""
    places = motion.distance_m[np.cumsum(motion.legs)[:-1] - 1]
    low, high = sorted((float(places[-1]), float(places[-2])))
    return low, high


def cut_short(motion: Motion) -> Finding:
    """The edges end before a stop was seen; `ending` says why, if that is known."""
    speed_m_s = abs(float(motion.speed_m_s[-1]))
    return warning(ReadingCode.CUT_SHORT, speed_m_s=speed_m_s, ending=str(motion.train.ending))
