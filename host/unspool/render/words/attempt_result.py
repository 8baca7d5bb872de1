"""What one attempt came to, in a sentence, and what the tape says about the wheel."""

from __future__ import annotations

from math import isfinite

from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.types import Reading
from unspool.render.words.result import end_words
from unspool.render.words.units import quantity
from unspool.render.words.values import as_sentence

AS_EXPECTED_M = 0.005  # half of the last digit that is shown
# A tape that is laid along the run by hand is right to a few millimetres in a metre.
TAPE_SHARE = 0.003
_SLIPS = (ReadingCode.SLIP_AT_START, ReadingCode.SLIPPING)


def result_words(reading: Reading) -> str:
    """ "12.61 m, 0.80 m short of the expected 13.41 m.\""""
    motion, expected = reading.motion, reading.prediction.distance_m
    if not motion.measures_distance:
        return as_sentence(end_words(motion, reading.distance_m))
    went = quantity(reading.distance_m, "m")
    if not isfinite(expected):
        return f"{went}. The model expected that nothing would stop it."
    off = reading.distance_m - expected
    if abs(off) < AS_EXPECTED_M:
        return f"{went}, as expected."
    side = "past" if off > 0 else "short of"
    return f"{went}, {quantity(abs(off), 'm')} {side} the expected {quantity(expected, 'm')}."


def tape_words(reading: Reading, taped_m: float, circumference_m: float) -> str:
    """What the difference of tape and wheel means.

    A wheel that slips turns further than the car goes, so the tape says less. Without a slip the
    circumference that fits the tape is circumference_m times tape over wheel.
    """
    wheel_m = reading.distance_m
    if not reading.motion.measures_distance or wheel_m <= 0.0:
        return "The wheel did not measure the whole run, so the two cannot be compared."
    share = taped_m / wheel_m - 1.0
    if abs(share) <= TAPE_SHARE:
        return "Tape and wheel agree as well as a tape can be laid."
    if share < 0.0 and any(finding.code in _SLIPS for finding in reading.findings):
        return "The wheel turned further than the car went, because it slipped."
    around_mm = circumference_m * 1e3
    now, fits = (quantity(mm, "mm", 1) for mm in (around_mm, around_mm * (1.0 + share)))
    return (
        f"If the tape is right and no wheel slipped, the wheel rolls {fits} a turn instead of "
        f"{now}. Roll it out over a taped length, and correct the circumference."
    )
