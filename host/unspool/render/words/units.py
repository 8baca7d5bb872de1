"""Numbers as people read them: never without a unit, and "not known" for what is not known."""

from __future__ import annotations

import html
from math import floor, isfinite, log10

from unspool.language import _, later, localised
from unspool.render.words.reading_units import as_read, reading_of

# Keeps a number and its unit on one line.
NBSP = "\u00a0"
MINUS = "\u2212"
EN_DASH = "\u2013"
UNKNOWN = later("not known")
# Units that are words.
WORDED = {"turns": later("turns")}
# A tenth of a millimetre in a metre: below what any disc and floor can mean.
MOST_DIGITS = 4
LEADING = 2.95  # a spread whose first digit is below 3 would lose a lot by rounding to that digit


def quantity(value: float | None, unit: str, digits: int = 2) -> str:
    """`value` with `digits` decimals and its unit, in the reader's units.

    "not known" for None, NaN and infinities.
    """
    if value is None or not isfinite(value):
        return _(UNKNOWN)
    read = reading_of(unit)
    return _written(value * read.factor, read.unit, digits + read.digits)


def apart(one: float, other: float, unit: str, digits: int = 2) -> str:
    """How far two quantities are apart as they are shown: who subtracts them finds the same."""
    read = reading_of(unit)
    decimals = digits + read.digits
    first, second = (round(value * read.factor, decimals) for value in (one, other))
    return _written(abs(first - second), read.unit, decimals)


def between(low: float, high: float, unit: str, digits: int = 2, word: str = EN_DASH) -> str:
    """`4.80 - 6.10 m`: two ends with one unit, and the word or the dash between them."""
    if not (isfinite(low) and isfinite(high)):
        return _(UNKNOWN)
    read = reading_of(unit)
    first = _written(low * read.factor, "", digits + read.digits)
    return f"{first}{word}{quantity(high, unit, digits)}"


def sized(value: float, unit: str) -> str:
    """A size with four digits: `123.6 mm`, `640 g`."""
    shown, read = as_read(value, unit)
    return f"{localised(f'{shown:.4g}')}{NBSP}{unit_word(read)}"


def _written(value: float, unit: str, digits: int) -> str:
    rounded = round(value, digits) + 0.0  # turns -0.0 into 0.0
    text = localised(f"{rounded:.{digits}f}").replace("-", MINUS)
    return text + (NBSP + unit_word(unit) if unit else "")


def unit_word(unit: str) -> str:
    """The unit as the reader writes it."""
    return _(WORDED[unit]) if unit in WORDED else unit


def signed(value: float, unit: str, digits: int = 2) -> str:
    """A difference with its sign, which is what a difference is about."""
    text = quantity(value, unit, digits)
    return f"+{text}" if isfinite(value) and round(value, digits) > 0 else text


def with_sd(value: float | None, sd: float | None, unit: str, digits: int = 2) -> str:
    """`value ± 1.96 sd`, the 95 % interval of a normal error; `digits` decimals if no sd is known.

    The interval decides how many decimals are shown.
    """
    if value is None or not sd or not isfinite(sd):
        return quantity(value, unit, digits)
    if not isfinite(value):
        return _(UNKNOWN)
    read = reading_of(unit)
    spread = max(1.96 * sd * read.factor, 10.0**-MOST_DIGITS)
    digits = min(decimals_of(spread), MOST_DIGITS)
    return _plus_minus(value * read.factor, spread, read.unit, digits)


def plus_minus(value: float, half: float, unit: str, digits: int) -> str:
    """`15.20 ± 0.31 m`: both with `digits` decimals."""
    read = reading_of(unit)
    return _plus_minus(value * read.factor, half * read.factor, read.unit, digits + read.digits)


def _plus_minus(value: float, half: float, unit: str, digits: int) -> str:
    return f"{_written(value, '', digits)}{NBSP}±{NBSP}{_written(half, unit, digits)}"


def half_interval(sd: float, unit: str) -> str:
    """Half of the 95 % interval, with as many digits as it is worth."""
    spread, read = as_read(1.96 * sd, unit)
    return _written(spread, read, decimals_of(spread))


def decimals_of(spread: float) -> int:
    """Decimals that show one digit of a spread above 0, and two if the first is 1 or 2."""
    power = floor(log10(spread))
    first = spread / 10.0**power
    return max(-power + (1 if first < LEADING else 0), 0)


def plain(text: str) -> str:
    """`text` for a picture, where markup from a board or a file must stay text."""
    return html.escape(text, quote=False)
