"""The values of a finding, as its sentence shows them: the unit is in each value's name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from unspool.finding import Value
from unspool.language import _, later
from unspool.render.words.units import quantity

Values = Mapping[str, Value]
Text = Callable[[Values], str]

# The longest suffix stands first: `grip_m_s` is a speed, not a time.
UNITS = {
    "_m_s2": "m/s²",
    "_m_s": "m/s",
    "_m": "m",
    "_s": "s",
    "_j": "J",
    "_n": "N",
    "_kg": "kg",
    "_v": "V",
}


def unit_of(name: str) -> str:
    """The unit that the name of a value ends in; nothing for a share or a count."""
    return next((unit for suffix, unit in UNITS.items() if name.endswith(suffix)), "")


def shown(values: Values, name: str, digits: int = 2) -> str:
    """The value with its unit; "not known" for None."""
    return quantity(maybe(values, name), unit_of(name), digits)


def bare(values: Values, name: str, digits: int = 1) -> str:
    """The value without its unit, for a sentence that has the unit in words."""
    return quantity(number(values, name), "", digits)


def in_mm(values: Values, name: str, digits: int = 0) -> str:
    """A value in m, in millimetres."""
    value = maybe(values, name)
    return quantity(None if value is None else 1e3 * value, "mm", digits)


def maybe(values: Values, name: str) -> float | None:
    """The number of that name, None if it is not known or not given."""
    value = values.get(name)
    if value is not None and not isinstance(value, int | float):
        raise TypeError(f"{name} is {value!r}, not a number")
    return value


def number(values: Values, name: str) -> float:
    """The number of that name. Raises KeyError if it is not given, TypeError if it is none."""
    value = values[name]
    if not isinstance(value, int | float):
        raise TypeError(f"{name} is {value!r}, not a number")
    return value


def words(values: Values, name: str) -> tuple[str, ...]:
    """The texts of that name. Raises KeyError if they are not given, TypeError if they are none."""
    value = values[name]
    if not isinstance(value, tuple):
        raise TypeError(f"{name} is {value!r}, not a row of texts")
    return tuple(str(one) for one in value)


def as_sentence(text: str) -> str:
    """An error's text with a capital at its start and a full stop at its end."""
    text = str(text)  # of a Phrase, in the reader's language
    stop = "" if text.endswith((".", "!", "?")) else "."
    return f"{text[:1].upper()}{text[1:]}{stop}"


def joined(*sentences: str) -> str:
    """The sentences one after the other, without the empty ones."""
    return " ".join(filter(None, sentences))


def counted(count: float, one: str, many: str = "") -> str:
    """`1 edge`, `3 edges`, `2 pushes`: a count with its noun."""
    return f"{count:g} {one if count == 1 else many or one + 's'}"


def times(count: float) -> str:
    """How often: once, twice, 3 times."""
    return {1: "once", 2: "twice"}.get(int(count), f"{count:g} times")


def in_a_row(parts: Iterable[str]) -> str:
    """`a; b; c`, for parts that have commas themselves."""
    return _("; ").join(parts)


def listed(names: tuple[str, ...], last: str = later("and"), none: str = "") -> str:
    """`a`, `a and b`, `a, b and c`. none: what stands for no names at all."""
    if not names:
        return none
    *first, end = names
    return f"{', '.join(first)} {_(last)} {end}" if first else end
