"""What speaks against a car file, in sentences: what was seen, then what to measure again."""

from __future__ import annotations

from unspool.language import _, later
from unspool.render.words.units import between, quantity
from unspool.render.words.values import Values, in_mm, maybe, number

_EITHER_LARGER = later(
    "Either would explain it: a weight {weight} heavier than in the file, or a drum {drum} thicker."
)
_EITHER_SMALLER = later(
    "Either would explain it: a weight {weight} lighter than in the file, or a drum {drum} thinner."
)
_ANY_LARGER = later(
    "Each alone would explain it: a weight {weight} heavier than in the file, a circumference"
    " {around} smaller, or a drum {drum} thicker."
)
_ANY_SMALLER = later(
    "Each alone would explain it: a weight {weight} lighter than in the file, a circumference"
    " {around} larger, or a drum {drum} thinner."
)


def tape_disagrees(v: Values) -> str:
    tapes = f"{number(v, 'tapes'):g}"
    said = _(
        "By the tape of {tapes} attempts the wheel rolls {fits} a turn (90 % between {low} and"
        " {high}), not {around} as the car file says. Roll the wheel out again and correct the"
        " file: the losses here rest on it.",
        tapes=tapes,
        fits=in_mm(v, "fits_m", 1),
        low=in_mm(v, "low_m", 1),
        high=in_mm(v, "high_m", 1),
        around=in_mm(v, "around_m", 1),
    )
    if not v["may_slip"]:
        return said
    slip = _("A wheel that slips each time would look alike. A roll-out by hand separates the two.")
    return f"{said} {slip}"


def drive_unusual(v: Values) -> str:
    seen = number(v, "drive")
    lost, usual = _percent(1.0 - seen), _usual(v)
    if seen > 1.0:
        said = _(
            "If the car file is right, the drive passes on {passed} of the pull. More than 100 %"
            " is not possible, so a value in the file is off.",
            passed=_percent(seen),
        )
    elif seen > number(v, "usual_high"):
        said = _(
            "If the car file is right, the drive loses only {lost} of the pull, less than usual"
            " ({usual}).",
            lost=lost,
            usual=usual,
        )
    else:
        said = _(
            "If the car file is right, the drive loses {lost} of the pull, more than usual"
            " ({usual}). Look whether pulley, string or axle rub.",
            lost=lost,
            usual=usual,
        )
    return f"{said} {_measure_again(v)}"


def drive_otherwise(v: Values) -> str:
    said = _(
        "The car file says that the drive loses {said} of the pull. These attempts show {lost}"
        " (90 % between {low} and {high}). If the file's value was measured on this car, another"
        " value in the file is off.",
        said=_percent(1.0 - number(v, "said")),
        lost=_percent(1.0 - number(v, "drive")),
        low=_percent(1.0 - number(v, "high")),
        high=_percent(1.0 - number(v, "low")),
    )
    return f"{said} {_measure_again(v)}"


def _measure_again(v: Values) -> str:
    """What alone would explain it; the drum says in which direction."""
    around = maybe(v, "around")
    shares = {name: _percent(abs(number(v, name))) for name in ("weight", "drum")}
    larger = number(v, "drum") > 0.0
    if around is None:
        again = _("Weigh the weight and measure the drum again. By the tape it is not the wheel.")
        either = _EITHER_LARGER if larger else _EITHER_SMALLER
        return again + " " + _(either, **shares)
    again = _("Weigh the weight, roll out the wheel and measure the drum again.")
    shares["around"] = _percent(abs(around))
    each = _ANY_LARGER if larger else _ANY_SMALLER
    return again + " " + _(each, **shares)


def _usual(v: Values) -> str:
    low, high = (100.0 * (1.0 - number(v, end)) for end in ("usual_high", "usual_low"))
    return between(low, high, "%", 0)


def _percent(share: float) -> str:
    return quantity(100.0 * share, "%", 1)
