"""What one attempt came to, in a sentence, and what the tape says about the wheel."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from unspool.model.outcome import Prediction
from unspool.reading.events.cause import Cause, cause_of
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.types import Reading
from unspool.render.words.result import end_words
from unspool.render.words.units import between, quantity
from unspool.render.words.values import Values, as_sentence, maybe, number
from unspool.study.calibration.tapes import SLIPS, TAPE_SHARE

AS_EXPECTED = 0.01  # of the distance: no two attempts of one winding are nearer to each other
SHOWN_M = 0.005  # half of the last digit that is shown
_ROLL_OUT = (
    "Roll the car out by hand over a taped length: that measures the circumference without a slip."
)
_FOUND: dict[str, str] = {
    ReadingCode.WEIGHT_LANDED_FIRST: "the weight landed before the string was off",
    ReadingCode.EARLY_RELEASE: "the string let go early",
    ReadingCode.RELEASED_LATE: "more string was wound than said",
    ReadingCode.STRING_HELD: "the string held at the peg",
    ReadingCode.TIERS_IN_WRONG_ORDER: "the tiers were wound in another order",
    ReadingCode.WINDING_DIFFERS: "other turns were wound than said",
}


@dataclass(frozen=True)
class TapedWheel:
    """The wheel that the sensor watches. driven: the string turns it."""

    circumference_m: float
    driven: bool


def result_words(reading: Reading) -> str:
    """The one sentence of an attempt that was read; see `went_words`."""
    if not reading.motion.measures_distance:
        return as_sentence(end_words(reading.motion, reading.distance_m))
    return went_words(reading.distance_m, reading.prediction, cause_of(reading))


def went_words(went_m: float, expected: Prediction | None, cause: str | None) -> str:
    """ "12.61 m, 0.80 m short of the expected 13.41 m: it rolled worse, most likely the floor."

    cause: as `likely_cause` finds it.
    """
    went = quantity(went_m, "m")
    if expected is None:
        return f"{went}."
    if not isfinite(expected.distance_m):
        return f"{went}. The model expected that nothing would stop it."
    off, due = went_m - expected.distance_m, quantity(expected.distance_m, "m")
    if abs(off) < max(AS_EXPECTED * expected.distance_m, SHOWN_M):
        return f"{went}, as expected." if went == due else f"{went}, as expected ({due})."
    side = "past" if off > 0 else "short of"
    low, high = expected.distance_low_m, expected.distance_high_m
    within = low <= went_m <= high
    ends = between(low, high, "m", word=" to ")
    known = f", within its range ({ends})" if within else ""
    why = f": {_why(cause, off, within)}" if cause else ""
    return f"{went}, {quantity(abs(off), 'm')} {side} the expected {due}{known}{why}."


def _why(cause: str, off: float, within: bool) -> str:
    """Within the range it is the car file's losses that may be off, and not the floor."""
    if cause == Cause.ROLLING:
        floor = "" if within else ", most likely the floor"
        return f"it rolled {'better' if off > 0 else 'worse'}{floor}"
    if cause == Cause.DRIVE:
        look = "" if within else "; look at weight, winding and drive"
        return f"it was {'faster' if off > 0 else 'slower'} when the string had let go{look}"
    return f"most likely {_FOUND[cause]}"


def tape_words(reading: Reading, taped_m: float, wheel: TapedWheel) -> str:
    """What the difference of tape and wheel means.

    A wheel that slips turns further than the car goes, so the tape says less. Without a slip the
    circumference that fits the tape is that of the wheel times tape over wheel.
    """
    rolled_m = reading.distance_m
    if not reading.motion.measures_distance or rolled_m <= 0.0:
        return "The wheel did not measure the whole attempt, so the two cannot be compared."
    apart_m = taped_m - rolled_m
    sure_m = TAPE_SHARE * rolled_m
    if abs(apart_m) <= sure_m:
        return "Tape and wheel agree as well as a tape can be laid."
    fits = _circumferences(wheel.circumference_m, taped_m / rolled_m)
    if apart_m > 0.0:
        return f"No slip makes the tape longer. If the tape is right, {fits}. {_ROLL_OUT}"
    if not wheel.driven:
        return (
            "The string does not drive this wheel, so it hardly slips. If the tape is right, "
            f"{fits}. {_ROLL_OUT}"
        )
    lost_m = _slipped_m(reading)
    if not lost_m:
        return f"Either the wheel slipped, or {fits}. One tape cannot separate the two. {_ROLL_OUT}"
    found = f"The slip that was found makes about {quantity(lost_m, 'm')}"
    if -apart_m - lost_m <= sure_m:
        return f"{found}: the wheel turned further than the car went, because it slipped."
    return f"{found} of it. Either the wheel slipped more, or {fits}. {_ROLL_OUT}"


def _circumferences(now_m: float, ratio: float) -> str:
    now, fits = (quantity(1e3 * around_m, "mm", 1) for around_m in (now_m, now_m * ratio))
    return f"the wheel rolls {fits} a turn instead of {now}"


def _slipped_m(reading: Reading) -> float:
    """How much further a driven wheel turned than the car went, as far as findings say."""
    return sum(_lost_m(finding.values) for finding in reading.findings if finding.code in SLIPS)


def _lost_m(values: Values) -> float:
    if "share" in values:
        return number(values, "share") * number(values, "over_m")
    return maybe(values, "lost_m") or 0.0
