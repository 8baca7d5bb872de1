"""Values that no run has, whatever its car: they are refused before anything is changed."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from unspool.errors import Fault
from unspool.language import _, localised
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
        return [
            Fault(
                _("note"),
                _("{count} characters", count=len(value)),
                _("at most {most}", most=LONGEST_NOTE),
            )
        ]
    if field is Field.TAPED_M:
        expected = _("a distance above 0, at most {most} m", most=format(MOST_TAPED_M, "g"))
        return _beyond(_("taped distance"), value, expected, MOST_TAPED_M)
    if field is Field.TIMED_S:
        expected = _("a time above 0, at most {most} s", most=format(MOST_TIMED_S, "g"))
        return _beyond(_("time by the stopwatch"), value, expected, MOST_TIMED_S)
    if field is Field.TURNS and isinstance(value, tuple):
        return _turn_faults([one for one in value if not isinstance(one, str)])
    if field is Field.TAGS and isinstance(value, tuple):
        return _tag_faults([one for one in value if isinstance(one, str)])
    return []


def _beyond(where: str, value: Said, expected: str, most: float) -> list[Fault]:
    if not isinstance(value, float) or 0.0 < value <= most:
        return []
    return [Fault(where, localised(f"{value:g}"), expected)]


def _turn_faults(turns: list[tuple[str, float]]) -> list[Fault]:
    expected = _("turns from 0 to {most}", most=format(MOST_TURNS, "g"))
    wrong = [
        Fault(_("turns on {tier}", tier=tier), localised(f"{n:g}"), expected)
        for tier, n in turns
        if not (isfinite(n) and 0.0 <= n <= MOST_TURNS)
    ]
    if not wrong and not any(n > 0.0 for _tier, n in turns):
        return [Fault(_("turns"), _("0 on each tier"), _("some on one tier at least"))]
    return wrong


def _tag_faults(tags: list[str]) -> list[Fault]:
    faults = []
    if len(tags) > MOST_TAGS:
        faults.append(
            Fault(
                _("tags"),
                _("{count} of them", count=len(tags)),
                _("at most {most}", most=MOST_TAGS),
            )
        )
    if len(set(map(name_key, tags))) < len(tags):
        faults.append(Fault(_("tags"), _("one of them twice"), _("each once")))
    if not all(map(_is_tag, tags)):
        expected = _("1 to {most} characters on one line, without a comma", most=LONGEST_TAG)
        faults.append(Fault(_("tags"), _("a tag that is too long, or none"), expected))
    return faults


def _is_tag(tag: str) -> bool:
    one_word = tag.isprintable() and tag == tag.strip() and "," not in tag
    return one_word and 0 < len(tag) <= LONGEST_TAG
