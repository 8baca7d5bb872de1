"""Invented cars and tracks in the shape of their files, drawn from seeds; no unspool in here."""

from __future__ import annotations

from copy import deepcopy
from math import pi
from typing import Any

import numpy as np

Table = dict[str, Any]
Key = tuple[int, ...]

STRING_MM = 0.6
EFFECT = 9.8  # N a kg, for rough sizes only


def drawn(key: Key, tiers: int | None = None) -> Table:
    """A car file of 1 to 4 tiers; each tier pulls harder than the car holds at rest."""
    rng = np.random.default_rng(key)
    while True:
        car = _draft(rng, tiers or int(rng.integers(1, 5)))
        if _margin(car, 0) > 1.2 and _margin(car, -1) > 1.0:
            return car


def _margin(car: Table, tier: int) -> float:
    weight, losses = car["weight"]["mass_g"], car["losses"]
    pull = losses["drive_efficiency"] * weight * (car["drum"][tier]["diameter_mm"] + STRING_MM)
    hold = losses["break_away_coefficient"] * (car["body"]["mass_g"] + weight)
    return pull / car["wheels"][0]["diameter_mm"] / (hold + losses["constant_drag_n"] * 1e3 / 9.8)


def _draft(rng: np.random.Generator, tiers: int) -> Table:
    wheel = float(rng.uniform(80.0, 220.0))
    drop = float(rng.uniform(300.0, 800.0))
    rolling = float(rng.uniform(0.005, 0.02))
    return {
        "name": "drawn",
        "body": {
            "mass_g": float(rng.uniform(500.0, 2000.0)),
            "frontal_area_cm2": float(rng.uniform(50.0, 300.0)),
            "drag_coefficient": float(rng.uniform(0.6, 1.2)),
            "wheelbase_mm": 340.0,
            "centre_of_mass_to_driven_axle_mm": float(rng.uniform(100.0, 200.0)),
            "centre_of_mass_height_mm": float(rng.uniform(80.0, 200.0)),
        },
        "weight": {"mass_g": float(rng.uniform(200.0, 1000.0)), "drop_mm": drop},
        "string": {"diameter_mm": STRING_MM, "breaking_load_n": float(rng.uniform(60.0, 200.0))},
        "pulley": {"diameter_mm": 30.0, "mass_g": float(rng.uniform(0.0, 20.0))},
        "wheels": [_wheels("rear", wheel, rng, True), _wheels("front", wheel, rng, False)],
        "drum": _drum(rng, tiers, wheel, drop),
        "encoder": {
            "pulses_per_turn": int(rng.integers(10, 41)),
            "axle": str(rng.choice(["rear", "front"])),
        },
        "losses": {
            "rolling_coefficient": rolling,
            "constant_drag_n": _not_tiny(float(rng.uniform(0.0, 0.02))),
            "drive_efficiency": float(rng.uniform(0.8, 0.98)),
            "break_away_coefficient": rolling * float(rng.uniform(1.0, 1.5)),
            "tyre_friction": 0.6,
        },
    }


def _not_tiny(force_n: float) -> float:
    return force_n if force_n >= 1e-4 else 0.0


def _wheels(name: str, wheel: float, rng: np.random.Generator, driven: bool) -> Table:
    mass = float(rng.uniform(10.0, 60.0))
    return {"name": name, "count": 2, "diameter_mm": wheel, "mass_g": mass, "driven": driven}


def _drum(rng: np.random.Generator, tiers: int, wheel: float, drop: float) -> list[Table]:
    """Tiers whose string adds up to 0.9 to 1.05 of the drop, in uneven shares."""
    diameter = wheel * float(rng.uniform(0.2, 0.5))
    string = drop * float(rng.uniform(0.9, 1.05)) * rng.dirichlet(np.full(tiers, 6.0))
    drum = []
    for k, length in enumerate(string.tolist()):
        tier = {"name": f"tier {k + 1}", "diameter_mm": diameter - STRING_MM}
        drum.append({**tier, "turns": length / (pi * diameter)})
        diameter /= float(rng.uniform(1.15, 2.5))
    return drum


def changed(car: Table, **values: Any) -> Table:
    """The car with other values: `body__mass_g=900.0` sets mass_g under [body]; None removes."""
    car = deepcopy(car)
    for path, value in values.items():
        *tables, key = path.split("__")
        table = car
        for name in tables:
            table = table[int(name)] if isinstance(table, list) else table[name]
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
    return car


def scaled(car: Table, factor: float, *paths: str) -> Table:
    """The car with the values at these paths times `factor`."""
    for path in paths:
        value: Any = car
        for name in path.split("__"):
            value = value[int(name)] if isinstance(value, list) else value[name]
        car = changed(car, **{path: value * factor})
    return car


def turned(car: Table, *shares: float) -> Table:
    """The car wound with these shares of its turns: one for all tiers, or one a tier."""
    each = shares * len(car["drum"]) if len(shares) == 1 else shares
    for k, share in enumerate(each):
        car = scaled(car, share, f"drum__{k}__turns")
    return car


def wound_to(car: Table, share: float) -> Table:
    """The car wound so that its string is this share of the drop."""
    string = sum(
        pi
        * t["turns"]
        * (STRING_MM + (t["diameter_mm"] + t.get("end_diameter_mm", t["diameter_mm"])) / 2)
        for t in car["drum"]
    )
    return turned(car, share * car["weight"]["drop_mm"] / string)


def tapered(car: Table, *shares: float) -> Table:
    """The car with tiers that taper to these shares of their diameter."""
    for k, share in enumerate(shares):
        end = share * car["drum"][k]["diameter_mm"]
        car = changed(car, **{f"drum__{k}__end_diameter_mm": end})
    return car


def without_losses(car: Table) -> Table:
    """The car as somebody describes it who knows nothing of its losses and its drag."""
    return changed(car, losses=None, body__frontal_area_cm2=None, body__drag_coefficient=None)


def rough_way_m(car: Table) -> float:
    """About how far the car goes on a level floor."""
    weight, losses = car["weight"], car["losses"]
    stored = 1e-6 * EFFECT * weight["mass_g"] * weight["drop_mm"]
    mass = 1e-3 * (car["body"]["mass_g"] + weight["mass_g"])
    resistance = losses["rolling_coefficient"] * mass * EFFECT + losses["constant_drag_n"]
    return 0.7 * stored / resistance


def track(*levels: tuple[float, float], name: str = "floor", **air: float) -> Table:
    """A track file of (distance in m, height in mm)."""
    rows = [{"distance_m": float(x), "height_mm": float(h)} for x, h in levels]
    return {"name": name, **air, "level": rows}


def toml_text(table: Table, under: str = "") -> str:
    """The table as TOML: values first, then its tables."""
    plain = {k: v for k, v in table.items() if not isinstance(v, dict | list)}
    text = "".join(f"{key} = {_value(value)}\n" for key, value in plain.items())
    for key, value in table.items():
        if isinstance(value, dict):
            text += f"[{under}{key}]\n" + toml_text(value, f"{under}{key}.")
        elif isinstance(value, list):
            text += "".join(f"[[{under}{key}]]\n" + toml_text(one) for one in value)
    return text


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else repr(value)
