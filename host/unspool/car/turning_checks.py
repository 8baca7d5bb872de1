"""Faults of what a car file says of its bearings: shaft, bore and wheel must fit each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from unspool.car.faults import found_text, number, tables
from unspool.errors import Fault


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
                yield "bearing", "nothing", f'"ball" or "plain", as `{key}` is given'
                return
    if bearing == "plain" and "shaft_mm" not in wheel:
        yield "shaft_mm", "nothing", 'a length, as `bearing` is "plain"'
    if shaft is not None and bore is not None and 0 < bore < shaft:
        yield "bore_mm", found_text(bore), f"at least shaft_mm, {found_text(shaft)}"
    for key, size in (("shaft_mm", shaft), ("bore_mm", bore)):
        if size is not None and wide is not None and 0 < wide <= size:
            yield key, found_text(size), f"less than diameter_mm, {found_text(wide)}"
