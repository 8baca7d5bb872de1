"""Faults of a car file that lie between its keys, looked for in the tables as they were written.

A key that is absent or of the wrong kind is a fault of the schema: here it passes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import pi
from typing import Any

from unspool.car.faults import Path, fault, found_text, number, tables
from unspool.car.sd_checks import sd_faults
from unspool.car.turning_checks import turning_faults
from unspool.car.unit_checks import driven_wheels, unit_faults
from unspool.errors import Fault
from unspool.language import _, localised

Raw = Mapping[str, Any]
# A roll-out that differs from the ruler by more than this was written in another unit.
_LARGEST_ROLL_OUT_RATIO = 2.0


def car_faults(raw: Raw) -> list[Fault]:
    checks = (_names, _driven, _axle, _drum, _masses, _roll_out, _drag_pair, _balance)
    return [
        *(one for check in (*checks, turning_faults, sd_faults) for one in check(raw)),
        *unit_faults(raw),
    ]


def _names(raw: Raw) -> Iterator[Fault]:
    for section in ("wheels", "drum"):
        seen: set[str] = set()
        for index, table in enumerate(tables(raw, section)):
            name = table.get("name") if isinstance(table, dict) else None
            if isinstance(name, str) and name in seen:
                taken = _("{name} a second time", name=found_text(name))
                yield fault((section, index, "name"), taken, _("a name of its own"))
            elif isinstance(name, str):
                seen.add(name)


def _driven(raw: Raw) -> Iterator[Fault]:
    driven = driven_wheels(raw)
    given = [w.get("driven", False) for w in tables(raw, "wheels") if isinstance(w, dict)]
    if given and not driven and all(isinstance(one, bool) for one in given):
        yield fault(
            ("wheels",),
            _("no driven wheels"),
            _("`driven = true` in the [[wheels]] of the drum's axle"),
        )
    for index, _wheel in driven[1:]:
        path: Path = ("wheels", index, "driven")
        yield fault(
            path,
            _("a second driven axle"),
            _("one only: a car with two driven axles is not modelled"),
        )


def _axle(raw: Raw) -> Iterator[Fault]:
    encoder = raw.get("encoder")
    axle = encoder.get("axle") if isinstance(encoder, dict) else None
    names = [w.get("name") for w in tables(raw, "wheels") if isinstance(w, dict)]
    if isinstance(axle, str) and names and axle not in names:
        written = (found_text(name) for name in names if isinstance(name, str))
        known = " {} ".format(_("or")).join(written)
        expected = _("a name of [[wheels]]: {known}", known=known)
        yield fault(("encoder", "axle"), found_text(axle), expected)


def _drum(raw: Raw) -> Iterator[Fault]:
    for _index, wheel in driven_wheels(raw)[:1]:
        wheel_diameter = number(wheel, "diameter_mm")
        if wheel_diameter is None or wheel_diameter <= 0:
            return
        for index, tier in enumerate(tables(raw, "drum")):
            for key in ("diameter_mm", "end_diameter_mm"):
                diameter = number(tier, key)
                if diameter is not None and diameter >= wheel_diameter:
                    limit = _(
                        "less than the driven wheel's {size}", size=found_text(wheel_diameter)
                    )
                    yield fault(("drum", index, key), found_text(diameter), limit)


def _masses(raw: Raw) -> Iterator[Fault]:
    body = number(raw.get("body"), "mass_g")
    wheels = sum(
        (number(w, "count") or 0.0) * (number(w, "mass_g") or 0.0) for w in tables(raw, "wheels")
    )
    parts = wheels + (number(raw.get("pulley"), "mass_g") or 0.0)
    if body is not None and 0 < body < parts:
        least = _(
            "at least the {parts} of its wheels and pulley, which it includes",
            parts=localised(format(parts, "g")),
        )
        yield fault(("body", "mass_g"), found_text(body), least)


def _roll_out(raw: Raw) -> Iterator[Fault]:
    for index, wheel in enumerate(tables(raw, "wheels")):
        rolled = number(wheel, "rolling_circumference_mm")
        diameter = number(wheel, "diameter_mm")
        if not rolled or not diameter or rolled < 0 or diameter < 0:
            continue
        ratio = rolled / (pi * diameter)
        if not 1 / _LARGEST_ROLL_OUT_RATIO <= ratio <= _LARGEST_ROLL_OUT_RATIO:
            near = _(
                "a length near pi x diameter_mm = {length}",
                length=localised(format(pi * diameter, ".4g")),
            )
            yield fault(("wheels", index, "rolling_circumference_mm"), found_text(rolled), near)


def _drag_pair(raw: Raw) -> Iterator[Fault]:
    body = raw.get("body")
    if not isinstance(body, dict):
        return
    for key, other in (
        ("frontal_area_cm2", "drag_coefficient"),
        ("drag_coefficient", "frontal_area_cm2"),
    ):
        if key not in body and other in body:
            yield fault(
                ("body", key), _("nothing"), _("a number, as `{other}` is given", other=other)
            )


def _balance(raw: Raw) -> Iterator[Fault]:
    body = raw.get("body")
    base, behind = number(body, "wheelbase_mm"), number(body, "centre_of_mass_to_driven_axle_mm")
    if base is not None and behind is not None and 0 < base < behind:
        path = ("body", "centre_of_mass_to_driven_axle_mm")
        most = _("at most wheelbase_mm, {base}", base=found_text(base))
        yield fault(path, found_text(behind), most)
