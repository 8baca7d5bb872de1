"""What people say of a run, in words."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.errors import Fault
from unspool.render.words.form_fields import fault_words
from unspool.render.words.units import NBSP, quantity

Said = str | float | bool | tuple[tuple[str, float], ...] | tuple[str, ...] | None

# How a field is called, what its value is without one, and what it is with one.
_WORDS: dict[str, tuple[str, str]] = {
    "car": ("car", "none"),
    "track": ("track", "level"),
    "turns": ("winding", "as counted or planned"),
    "weight_g": ("weight", "the car file's"),
    "circumference_mm": ("rolling circumference", "the car file's"),
    "circumference_sd_mm": ("its standard deviation", "the usual one"),
    "taped_m": ("taped distance", "not measured"),
    "timed_s": ("time by the stopwatch", "not measured"),
    "note": ("note", "none"),
    "tags": ("tags", "none"),
    "discarded": ("discarded", "no"),
}
_UNITS = {
    "weight_g": "g",
    "circumference_mm": "mm",
    "circumference_sd_mm": "mm",
    "taped_m": "m",
    "timed_s": "s",
}


def field_word(field: str) -> str:
    """What a field of a correction is called."""
    return _WORDS[field][0]


def said_words(field: str, value: Said) -> str:
    """A value that was said of a run, such as "3.50 turns on start, 5.30 turns on run"."""
    if value is None or value in ("", ()):
        return _WORDS[field][1]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(map(_one_words, value))
    if isinstance(value, float):
        return f"{value:.6g}{NBSP}{_UNITS[field]}"  # as it was said, no digit added
    return " ".join(value.split())


def _one_words(one: str | tuple[str, float]) -> str:
    """A tag, or the turns on a tier."""
    return one if isinstance(one, str) else f"{one[1]:.2f} turns on {one[0]}"


def change_words(field: str, before: Said, after: Said) -> str:
    """A correction in a few words: "weight: 700.0 g (before: the car file's)"."""
    was, now = said_words(field, before), said_words(field, after)
    if was == now:  # a sheet of the same name
        now = f"another file of {now}"
    return f"{field_word(field)}: {now} (before: {was})"


def taped_words(taped_m: float, distance_m: float) -> str:
    """The tape beside the wheel: "by the tape 12.400 m, 0.153 m less than by the wheel"."""
    more = taped_m - distance_m
    side = "more" if more >= 0.0 else "less"
    apart = quantity(abs(more), "m", 3)
    return f"by the tape {quantity(taped_m, 'm', 3)}, {apart} {side} than by the wheel"


# Places of faults that the run's own car file would have, as the form calls them.
_PLACES = (
    ("weight.mass_g", "weight", "g"),
    (".rolling_circumference_mm", "rolling circumference", "mm"),
    ("taped distance", "taped distance", "m"),
    ("time by the stopwatch", "time by the stopwatch", "s"),
    ("turns on ", "", ""),
)


def fault_words_of(faults: Sequence[Fault]) -> str:
    """What is wrong with a correction: "weight: found 0 g, expected a mass from 5 to 50000 g"."""
    return "; ".join(map(_fault, faults))


def _fault(one: Fault) -> str:
    for part, called, unit in _PLACES:
        if part in one.where:
            return f"{called or one.where}: {fault_words(unit, one.found, one.expected)}"
    return f"{one.where}: {fault_words('', one.found, one.expected)}"
