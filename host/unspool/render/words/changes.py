"""What a version of a car or a floor changed, with its measures called as the form calls them."""

from __future__ import annotations

from collections.abc import Mapping

from unspool.car.changes import Change, Value
from unspool.language import _, localised
from unspool.render.words.form_fields import TABLES, FormField
from unspool.render.words.units import NBSP, unit_word

Fields = Mapping[str, FormField]


def change_words(change: Change, fields: Fields) -> str:
    """ "Drum, start, Turns wound on it: 1.5 turns, before 3.5 turns"."""
    known = _known(change.key, fields)
    return _(
        "{key}: {after}, before {before}",
        key=place_words(change.key, fields),
        after=_value(change.after, known),
        before=_value(change.before, known),
    )


def place_words(key: str, fields: Fields) -> str:
    """ "Drum, start, Turns wound on it" of `drum.start.turns`; the key if no field has it."""
    known = _known(key, fields)
    if known is None:
        return key
    section, name, _last = _parts(key)
    title = (_(TABLES[section]),) if section in TABLES else ()
    return ", ".join((*title, *((name,) if name else ()), _(known.label)))


def _known(key: str, fields: Fields) -> FormField | None:
    section, name, last = _parts(key)
    if not section:
        return fields.get(last)
    return fields.get(f"{section}.*.{last}" if name else f"{section}.{last}")


def _parts(key: str) -> tuple[str, str, str]:
    """Table, the name of one in a list, and key. A name may have points of its own."""
    section, _point, rest = key.rpartition(".")
    table, _point, name = section.partition(".")
    return table, name, rest


def _value(value: Value | None, known: FormField | None) -> str:
    if value is None:
        return _("nothing")
    text = str(value).lower() if isinstance(value, bool) else str(value)
    if known and (said := dict(known.choices).get(text)):
        return _(said)
    if isinstance(value, str | bool):
        return _("“{label}”", label=text)
    unit = f"{NBSP}{unit_word(known.unit)}" if known and known.unit else ""
    return localised(f"{value:.10g}") + unit
