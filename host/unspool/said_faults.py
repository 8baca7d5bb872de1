"""Values that no run has, whatever its car: they are refused before anything is changed."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from unspool.errors import Fault
from unspool.names import name_key
from unspool.store import Field, Said

LONGEST_NOTE = 500  # characters: a few sentences, short enough for a list
MOST_TURNS = 500.0  # on one tier
MOST_TAPED_M = 1000.0
MOST_TIMED_S = 3600.0
MOST_TAGS, LONGEST_TAG = 20, 40


def said_faults(changes: Mapping[Field, Said]) -> tuple[Fault, ...]:
    """Every fault of the values, in the order of the fields."""
    return tuple(fault for field, value in changes.items() for fault in _faults(field, value))


def _faults(field: Field, value: Said) -> list[Fault]:
    if field is Field.NOTE and isinstance(value, str) and len(value) > LONGEST_NOTE:
        return [Fault("note", f"{len(value)} characters", f"at most {LONGEST_NOTE}")]
    if field is Field.TAPED_M:
        return _beyond("taped distance", value, "a distance", MOST_TAPED_M, "m")
    if field is Field.TIMED_S:
        return _beyond("time by the stopwatch", value, "a time", MOST_TIMED_S, "s")
    if field is Field.TURNS and isinstance(value, tuple):
        return _turn_faults([one for one in value if not isinstance(one, str)])
    if field is Field.TAGS and isinstance(value, tuple):
        return _tag_faults([one for one in value if isinstance(one, str)])
    return []


def _beyond(where: str, value: Said, kind: str, most: float, unit: str) -> list[Fault]:
    if not isinstance(value, float) or 0.0 < value <= most:
        return []
    return [Fault(where, f"{value:g}", f"{kind} above 0, at most {most:g} {unit}")]


def _turn_faults(turns: list[tuple[str, float]]) -> list[Fault]:
    expected = f"turns from 0 to {MOST_TURNS:g}"
    wrong = [
        Fault(f"turns on {tier}", f"{n:g}", expected)
        for tier, n in turns
        if not (isfinite(n) and 0.0 <= n <= MOST_TURNS)
    ]
    if not wrong and not any(n > 0.0 for _, n in turns):
        return [Fault("turns", "0 on each tier", "some on one tier at least")]
    return wrong


def _tag_faults(tags: list[str]) -> list[Fault]:
    faults = []
    if len(tags) > MOST_TAGS:
        faults.append(Fault("tags", f"{len(tags)} of them", f"at most {MOST_TAGS}"))
    if len(set(map(name_key, tags))) < len(tags):
        faults.append(Fault("tags", "one of them twice", "each once"))
    if not all(map(_is_tag, tags)):
        expected = f"1 to {LONGEST_TAG} characters on one line, without a comma"
        faults.append(Fault("tags", "a tag that is too long, or none", expected))
    return faults


def _is_tag(tag: str) -> bool:
    one_word = tag.isprintable() and tag == tag.strip() and "," not in tag
    return one_word and 0 < len(tag) <= LONGEST_TAG
