"""What one attempt came to, in a sentence, and what the tape says about the wheel."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from unspool.car.measured import TAPE_SHARE
from unspool.language import _, later
from unspool.model.outcome import Prediction
from unspool.reading.events.cause import Cause, cause_of
from unspool.reading.events.codes import SLIPS, ReadingCode
from unspool.reading.events.types import Reading
from unspool.render.words.result import end_words
from unspool.render.words.units import apart, between, quantity
from unspool.render.words.values import Values, as_sentence, maybe, number

AS_EXPECTED = 0.01  # of the distance: no two attempts of one winding are nearer to each other
SHOWN_M = 0.005  # half of the last digit that is shown
_ROLL_OUT = later(
    "Roll the car out by hand over a taped length: that measures the circumference without a slip."
)
_FOUND: dict[str, str] = {
    ReadingCode.WEIGHT_LANDED_FIRST: later(
        "most likely the weight landed before the string was off"
    ),
    ReadingCode.EARLY_RELEASE: later("most likely the string let go early"),
    ReadingCode.RELEASED_LATE: later("most likely more string was wound than said"),
    ReadingCode.STRING_HELD: later("most likely the string held at the peg"),
    ReadingCode.TIERS_IN_WRONG_ORDER: later("most likely the tiers were wound in another order"),
    ReadingCode.WINDING_DIFFERS: later("most likely other turns were wound than said"),
}
# Outside of the range and within it; of each what made it less, and what more.
_WHY: dict[str, tuple[tuple[str, str], tuple[str, str]]] = {
    Cause.ROLLING: (
        (
            later("it rolled worse, most likely the floor"),
            later("it rolled better, most likely the floor"),
        ),
        (later("it rolled worse"), later("it rolled better")),
    ),
    Cause.DRIVE: (
        (
            later("it was slower when the string had let go; look at weight, winding and drive"),
            later("it was faster when the string had let go; look at weight, winding and drive"),
        ),
        (
            later("it was slower when the string had let go"),
            later("it was faster when the string had let go"),
        ),
    ),
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
        return _("{went}. The model expected that nothing would stop it.", went=went)
    off, due = went_m - expected.distance_m, quantity(expected.distance_m, "m")
    if abs(off) < max(AS_EXPECTED * expected.distance_m, SHOWN_M):
        if went == due:
            return _("{went}, as expected.", went=went)
        return _("{went}, as expected ({due}).", went=went, due=due)
    within = expected.distance_low_m <= went_m <= expected.distance_high_m
    said = _beside(went_m, expected.distance_m, _range(expected) if within else "")
    return (
        _("{result}: {cause}.", result=said, cause=_why(cause, off, within))
        if cause
        else said + "."
    )


def _range(expected: Prediction) -> str:
    to = _("to")
    return between(expected.distance_low_m, expected.distance_high_m, "m", word=f" {to} ")


def _beside(went_m: float, due_m: float, within: str) -> str:
    """within: the range in which it is, "" if it is outside."""
    said = {"went": quantity(went_m, "m"), "off": apart(went_m, due_m, "m")}
    said["due"] = quantity(due_m, "m")
    if within:
        said["range"] = within
        if went_m > due_m:
            return _("{went}, {off} past the expected {due}, within its range ({range})", **said)
        return _("{went}, {off} short of the expected {due}, within its range ({range})", **said)
    if went_m > due_m:
        return _("{went}, {off} past the expected {due}", **said)
    return _("{went}, {off} short of the expected {due}", **said)


def _why(cause: str, off: float, within: bool) -> str:
    """Within the range it is the car file's losses that may be off, and not the floor."""
    causes = _WHY.get(cause)
    return _(causes[within][off > 0]) if causes else _(_FOUND[cause])


def tape_words(reading: Reading, taped_m: float, wheel: TapedWheel) -> str:
    """What the difference of tape and wheel means.

    A wheel that slips turns further than the car goes, so the tape says less. Without a slip the
    circumference that fits the tape is that of the wheel times tape over wheel.
    """
    rolled_m = reading.distance_m
    if not reading.motion.measures_distance or rolled_m <= 0.0:
        return _("The wheel did not measure the whole attempt, so the two cannot be compared.")
    apart_m = taped_m - rolled_m
    sure_m = TAPE_SHARE * rolled_m
    if abs(apart_m) <= sure_m:
        return _("Tape and wheel agree as well as a tape can be laid.")
    lost_m = _slipped_m(reading)
    if apart_m < 0.0 and wheel.driven and lost_m > 0.0 and -apart_m - lost_m <= sure_m:
        return _(
            "The slip that was found makes about {lost}: the wheel turned further than the car "
            "went, because it slipped.",
            lost=quantity(lost_m, "m"),
        )
    doubt = _doubt(wheel, longer=apart_m > 0.0, slipped=lost_m > 0.0)
    now, fits = (
        quantity(1e3 * around_m, "mm", 1)
        for around_m in (wheel.circumference_m, wheel.circumference_m * taped_m / rolled_m)
    )
    said = _(doubt, now=now, fits=fits, **({"lost": quantity(lost_m, "m")} if lost_m else {}))
    return f"{said} {_(_ROLL_OUT)}"


_LONGER = later(
    "No slip makes the tape longer. If the tape is right, the wheel rolls {fits} a turn instead of "
    "{now}."
)
_FREE = later(
    "The string does not drive this wheel, so it hardly slips. If the tape is right, the wheel "
    "rolls {fits} a turn instead of {now}."
)
_EITHER = later(
    "Either the wheel slipped, or the wheel rolls {fits} a turn instead of {now}. One tape cannot "
    "separate the two."
)
_PARTLY = later(
    "The slip that was found makes about {lost} of it. Either the wheel slipped more, or the wheel "
    "rolls {fits} a turn instead of {now}."
)


def _doubt(wheel: TapedWheel, *, longer: bool, slipped: bool) -> str:
    """The message on a difference that a slip does not explain, or not alone."""
    if longer:
        return _LONGER
    if not wheel.driven:
        return _FREE
    return _PARTLY if slipped else _EITHER


def _slipped_m(reading: Reading) -> float:
    """How much further a driven wheel turned than the car went, as far as findings say."""
    return sum(_lost_m(finding.values) for finding in reading.findings if finding.code in SLIPS)


def _lost_m(values: Values) -> float:
    if "share" in values:
        return number(values, "share") * number(values, "over_m")
    return maybe(values, "lost_m") or 0.0
