"""What people say of a run, in words."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.errors import Fault
from unspool.language import _, later, localised
from unspool.render.words.form_fields import fault_words
from unspool.render.words.units import NBSP, quantity
from unspool.render.words.values import in_a_row

Said = str | float | bool | tuple[tuple[str, float], ...] | tuple[str, ...] | None

# How a field is called, what its value is without one, and what it is with one.
_WORDS: dict[str, tuple[str, str]] = {
    "car": (later("car"), later("none")),
    "track": (later("track"), later("level")),
    "turns": (later("winding"), later("as counted or planned")),
    "weight_g": (later("weight"), later("the car file's")),
    "circumference_mm": (later("rolling circumference"), later("the car file's")),
    "circumference_sd_mm": (later("its standard deviation"), later("the usual one")),
    "taped_m": (later("taped distance"), later("not measured")),
    "timed_s": (later("time by the stopwatch"), later("not measured")),
    "note": (later("note"), later("none")),
    "tags": (later("tags"), later("none")),
    "discarded": (later("discarded"), later("no")),
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
    return _(_WORDS[field][0])


def said_words(field: str, value: Said) -> str:
    """A value that was said of a run, such as "3.50 turns on start, 5.30 turns on run"."""
    if value is None or value in ("", ()):
        return _(_WORDS[field][1])
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, tuple):
        return ", ".join(map(_one_words, value))
    if isinstance(value, float):
        said = localised(f"{value:.6g}")  # no digit added
        return f"{said}{NBSP}{_UNITS[field]}"
    return " ".join(value.split())


def _one_words(one: str | tuple[str, float]) -> str:
    """A tag, or the turns on a tier."""
    return one if isinstance(one, str) else turns_on(one[0], one[1])


def turns_on(tier: str, turns: float) -> str:
    """ "3.50 turns on start"."""
    return _("{turns} turns on {tier}", turns=quantity(turns, ""), tier=tier)


def change_words(field: str, before: Said, after: Said) -> str:
    """A correction in a few words: "weight: 700.0 g (before: the car file's)"."""
    was, now = said_words(field, before), said_words(field, after)
    if was == now:  # a sheet of the same name
        now = _("another file of {name}", name=now)
    return _("{field}: {now} (before: {was})", field=field_word(field), now=now, was=was)


def taped_words(taped_m: float, distance_m: float) -> str:
    """The tape beside the wheel: "by the tape 12.400 m, 0.153 m less than by the wheel"."""
    more = taped_m - distance_m
    said = {"taped": quantity(taped_m, "m", 3), "apart": quantity(abs(more), "m", 3)}
    if more >= 0.0:
        return _("by the tape {taped}, {apart} more than by the wheel", **said)
    return _("by the tape {taped}, {apart} less than by the wheel", **said)


# Places of faults that the run's own car file would have, as the form calls them.
_PLACES = (
    ("weight.mass_g", later("weight"), "g"),
    (".rolling_circumference_mm", later("rolling circumference"), "mm"),
    ("taped distance", later("taped distance"), "m"),
    ("time by the stopwatch", later("time by the stopwatch"), "s"),
)


def fault_words_of(faults: Sequence[Fault]) -> str:
    """What is wrong with a correction: "weight: found 0 g, expected a mass from 5 to 50000 g"."""
    return in_a_row(map(_fault, faults))


def _fault(one: Fault) -> str:
    called, unit = _place(one.where)
    return _("{place}: {fault}", place=called, fault=fault_words(unit, one.found, one.expected))


def _place(where: str) -> tuple[str, str]:
    """As the form calls it, and the unit that it is typed in."""
    for part, called, unit in _PLACES:
        if part in where or where == _(called):
            return _(called), unit
    return where, ""
