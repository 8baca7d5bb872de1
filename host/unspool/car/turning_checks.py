"""Faults of what a car file says of its bearings: shaft, bore and wheel must fit each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from unspool.car.faults import found_text, number, tables
from unspool.errors import Fault
from unspool.language import _


def turning_faults(raw: Mapping[str, Any]) -> Iterator[Fault]:
    for index, wheel in enumerate(tables(raw, "wheels")):
        if isinstance(wheel, dict):
            yield from (Fault(f"wheels[{index}].{key}", *said) for key, *said in _of(wheel))


def _of(wheel: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Key, what was found and what is expected."""
    bearing, shaft = wheel.get("bearing"), number(wheel, "shaft_mm")
    bore, wide = number(wheel, "bore_mm"), number(wheel, "diameter_mm")
    if bearing is None:
        for key in ("shaft_mm", "bore_mm"):
            if key in wheel:
                yield "bearing", _("nothing"), _('"ball" or "plain", as `{key}` is given', key=key)
                return
    if bearing == "plain" and "shaft_mm" not in wheel:
        yield "shaft_mm", _("nothing"), _('a length, as `bearing` is "plain"')
    if shaft is not None and bore is not None and 0 < bore < shaft:
        least = _("at least shaft_mm, {shaft}", shaft=found_text(shaft))
        yield "bore_mm", found_text(bore), least
    for key, size in (("shaft_mm", shaft), ("bore_mm", bore)):
        if size is not None and wide is not None and 0 < wide <= size:
            less = _("less than diameter_mm, {wide}", wide=found_text(wide))
            yield key, found_text(size), less
