"""A field of a car's or floor's form: what it is called, and what a step of it is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from unspool.language import _, later, localised
from unspool.render.words.units import quantity, unit_word

_NUMBER = re.compile(r"-?\d+(?:[.,]\d+)?(?:e[+-]?\d{1,3})?(?![\w.])")
_TABLE = re.compile(r"\[\[?(\w+)\]\]?")
_KEY = re.compile(r"`?\b([a-z]+(?:_[a-z0-9]+)+)\b`?")


# What the form calls a table of the file.
TABLES = {
    "weight": later("Falling weight"),
    "body": later("Car without the weight"),
    "drum": later("Drum"),
    "wheels": later("Wheels"),
    "string": later("String"),
    "encoder": later("Sensors"),
    "pulley": later("Pulley"),
    "losses": later("Losses"),
    "level": later("Levels"),
}


@dataclass(frozen=True)
class FormField:
    """Its words are messages, which are translated as they are shown.

    path: in the file; in a list, `*` stands for the number of the table.

    step: what a builder changes or errs by, None for what no distance is computed for. usual: what
    holds without it.

    choices: values with their words, for what is chosen and not typed.
    """

    path: str
    label: str
    unit: str = ""
    hint: str = ""
    step: float | None = None
    choices: tuple[tuple[str, str], ...] = ()
    usual: str = ""
    text: bool = False

    @property
    def key(self) -> str:
        return self.path.rpartition(".")[2]


@dataclass(frozen=True)
class Section:
    """fields: of the table, or of each table of a list. more: what most cars leave out."""

    title: str
    fields: tuple[FormField, ...]
    more: tuple[FormField, ...] = ()
    why_more: str = ""
    hint: str = ""

    @property
    def listed(self) -> str:
        """The list that it repeats for, such as `drum`; empty for a plain table."""
        first = self.fields[0].path
        return first.split(".")[0] if ".*." in first else ""


def fault_words(
    unit: str, found: str, expected: str, labels: Mapping[str, str] = MappingProxyType({})
) -> str:
    """A fault beside its field: `found 0 g, expected a mass from 5 to 50000 g`.

    labels: of fields, by their keys. Numbers are written out, and tables and keys of the file
    are called as the form calls them.
    """
    found, expected = (_called(_NUMBER.sub(_figures, x), labels) for x in (found, expected))
    suffix = f"\u00a0{unit_word(unit)}" if unit else ""
    after_found = suffix if _NUMBER.fullmatch(found) else ""
    after_expected = suffix if expected[-1:].isdigit() else ""
    said = {"found": found + after_found, "expected": expected + after_expected}
    return _("found {found}, expected {expected}", **said)


def _figures(number: re.Match[str]) -> str:
    """`1000000000.0`, `7.54e+07` and `0,00001` in ordinary figures."""
    return localised(format(Decimal(number[0].replace(",", ".")).normalize(), "f"))


def _called(text: str, labels: Mapping[str, str]) -> str:
    """The text with tables and keys of the file as the form calls them."""
    text = _TABLE.sub(lambda found: _quoted(TABLES.get(found[1]), found[0]), text)
    return _KEY.sub(lambda found: _quoted(labels.get(found[1]), found[0]), text)


def _quoted(label: str | None, otherwise: str) -> str:
    return _("“{label}”", label=_(label)) if label else otherwise


def usual_words(usual: str) -> str:
    """A number with the decimal sign of the reader, or words."""
    return localised(usual) if usual[:1].isdigit() and " " not in usual else _(usual)


def matters_words(field: FormField, change_m: float) -> str:
    """What a step does to the distance: "1 mm more: 0.27 m farther"."""
    if field.step is None:
        return ""
    step = f"{localised(f'{field.step:g}')} {unit_word(field.unit)}".strip()
    if abs(change_m) < 0.005:
        return _("{step} more: the distance stays within 1 cm", step=step)
    far = quantity(abs(change_m), "m")
    if change_m > 0:
        return _("{step} more: {far} farther", step=step, far=far)
    return _("{step} more: {far} less far", step=step, far=far)


def measured_words(percent: float) -> str:
    """What one millimetre of the counted wheel does to every measured distance."""
    share = localised(f"{percent:.2g}")
    return _("1 mm more: every measured distance is {share} % longer", share=share)
