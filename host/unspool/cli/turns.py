"""Turns on each tier as a command takes them: `start=3,run=5.5`, or `3,5.5` in drum order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from unspool.errors import one_fault

if TYPE_CHECKING:
    from unspool.car import Car

OPTION = "--turns"


def turns_of(car: Car, text: str) -> tuple[float, ...]:
    """Turns in the order of the drum, 0 for a tier that is not named. Raises InputError."""
    names = [tier.name for tier in car.drum]
    parts = text.split(",")
    if "=" not in text:
        if len(parts) != len(names):
            tiers = f"{len(names)}, for the tiers {', '.join(names)} of {car.name}"
            raise one_fault(OPTION, f"{len(parts)} number{'s' * (len(parts) != 1)}", tiers)
        return tuple(_number(part, part) for part in parts)
    turns: dict[str, float] = {}
    for part in parts:
        name, _, number = (one.strip() for one in part.rpartition("="))
        if name and name not in names:
            raise one_fault(OPTION, f'"{name}"', f"tiers of the drum: {', '.join(names)}")
        if name in turns:
            raise one_fault(OPTION, f'"{name}" twice', "each tier once")
        turns[name] = _number(number if name else "", part)
    return tuple(turns.get(name, 0.0) for name in names)


def _number(text: str, part: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise one_fault(OPTION, f'"{part}"', "a tier and its turns, as run=6") from None
