"""Faults of a car file that only two keys together show: one of them is in another unit.

A key that is absent or of the wrong kind is another fault: here it passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import pi
from typing import Any

from unspool.car.faults import fault, found_text, number, tables
from unspool.errors import Fault
from unspool.language import _, localised

Raw = Mapping[str, Any]
# String wound over drop. Nobody winds five times the drop, or a seventh of it: drum or drop is then
# in another unit, most often centimetres.
_WOUND_OVER_DROP = (0.15, 5.0)
# Wheels of one car differ by less than this; a wheel in centimetres differs by more.
_WHEEL_RATIO = 8.0
# Wheelbase over the driven wheel's diameter: below it the wheels would run into each other.
_SHORTEST_WHEELBASE = 0.4
# Centre of mass: a share of the wheelbase from the axle, and of the wheel's diameter above the
# floor. The axles alone lie at half a diameter, so less than a fifth is in centimetres.
_NEAREST_MASS, _LOWEST_MASS = 0.06, 0.2
# A wheel's moment of inertia over mass x radius^2: a hoop has 1, a thin spindle with a hub less.
_INERTIA_SHARE = (0.05, 1.2)
# Constant drag over the car's weight, above which no car of this kind would start.
_LARGEST_DRAG_SHARE = 0.5
_NEWTONS_PER_GRAM = 0.0098  # near enough for a bound


def unit_faults(raw: Raw) -> list[Fault]:
    checks = (
        *(_wound_string, _wheel_sizes, _wheelbase, _centre_of_mass),
        *(_inertia, _constant_drag),
    )
    return [one for check in checks for one in check(raw)]


def driven_wheels(raw: Raw) -> list[tuple[int, Raw]]:
    sets = [w if isinstance(w, dict) else {} for w in tables(raw, "wheels")]
    return [(i, w) for i, w in enumerate(sets) if w.get("driven") is True]


def _wound_string(raw: Raw) -> Iterator[Fault]:
    drop = number(raw.get("weight"), "drop_mm")
    wound = sum(
        pi * (number(tier, "diameter_mm") or 0.0) * (number(tier, "turns") or 0.0)
        for tier in tables(raw, "drum")
    )
    if drop is None or drop <= 0 or wound <= 0:
        return
    if not _WOUND_OVER_DROP[0] <= wound / drop <= _WOUND_OVER_DROP[1]:
        near = _(
            "a drop near the {wound} mm of string that diameters and turns of [[drum]] wind",
            wound=localised(format(wound, ".4g")),
        )
        yield fault(("weight", "drop_mm"), found_text(drop), near)


def _wheel_sizes(raw: Raw) -> Iterator[Fault]:
    for _index, driven in driven_wheels(raw)[:1]:
        size = number(driven, "diameter_mm") or 0.0
        for index, wheel in enumerate(tables(raw, "wheels")):
            other = number(wheel, "diameter_mm") or 0.0
            if size <= 0 or other <= 0:
                continue
            if not 1 / _WHEEL_RATIO <= other / size <= _WHEEL_RATIO:
                near = _("a length in mm, as the driven wheel's {size}", size=found_text(size))
                yield fault(("wheels", index, "diameter_mm"), found_text(other), near)


def _wheelbase(raw: Raw) -> Iterator[Fault]:
    base = number(raw.get("body"), "wheelbase_mm")
    for _index, driven in driven_wheels(raw)[:1]:
        least = _SHORTEST_WHEELBASE * (number(driven, "diameter_mm") or 0.0)
        if base is not None and 0 < base < least:
            expected = _(
                "at least {least} mm, or the wheels run into each other",
                least=localised(format(least, ".4g")),
            )
            yield fault(("body", "wheelbase_mm"), found_text(base), expected)


def _centre_of_mass(raw: Raw) -> Iterator[Fault]:
    body = raw.get("body")
    base = number(body, "wheelbase_mm") or 0.0
    sizes = [number(wheel, "diameter_mm") or 0.0 for _index, wheel in driven_wheels(raw)[:1]]
    for key, least in (
        ("centre_of_mass_to_driven_axle_mm", _NEAREST_MASS * base),
        ("centre_of_mass_height_mm", _LOWEST_MASS * sum(sizes)),
    ):
        value = number(body, key)
        if value is not None and 0 < value < least:
            expected = _("at least {least} mm", least=localised(format(least, ".4g")))
            yield fault(("body", key), found_text(value), expected)


def _inertia(raw: Raw) -> Iterator[Fault]:
    for index, wheel in enumerate(tables(raw, "wheels")):
        inertia = number(wheel, "inertia_kg_m2") or 0.0
        size = float(number(wheel, "diameter_mm") or 0.0)
        hoop = (number(wheel, "mass_g") or 0.0) * size * size / 4e9  # `**` raises for 1e300
        if inertia <= 0 or hoop <= 0:
            continue
        if not _INERTIA_SHARE[0] <= inertia / hoop <= _INERTIA_SHARE[1]:
            near = _(
                "mass x radius x radius of one wheel at most, {hoop}; a disc has half of it",
                hoop=localised(format(hoop, ".3g")),
            )
            yield fault(("wheels", index, "inertia_kg_m2"), found_text(inertia), near)


def _constant_drag(raw: Raw) -> Iterator[Fault]:
    drag = number(raw.get("losses"), "constant_drag_n")
    grams = [number(raw.get(part), "mass_g") or 0.0 for part in ("body", "weight")]
    most = _LARGEST_DRAG_SHARE * sum(grams) * _NEWTONS_PER_GRAM
    if drag is not None and 0 < most < drag:
        expected = _(
            "at most {most}, half of the car's weight in newtons",
            most=localised(format(most, ".3g")),
        )
        yield fault(("losses", "constant_drag_n"), found_text(drag), expected)
