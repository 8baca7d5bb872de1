"""What was measured for one run and stands in place of the car file's value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from unspool.car.faults import tables
from unspool.car.toml_source import Table, parse_toml


@dataclass(frozen=True)
class OfRun:
    """In the car file's units; None leaves what the file says.

    The circumference is of the wheel whose edges are counted.
    """

    weight_g: float | None = None
    circumference_mm: float | None = None
    circumference_sd_mm: float | None = None

    def put_into(self, raw: Table) -> None:
        """Sets the keys of the file's tables. The file's standard deviations go with its values."""
        weight = raw.get("weight")
        if self.weight_g is not None and isinstance(weight, dict):
            weight["mass_g"] = self.weight_g
            weight.pop("mass_sd_g", None)
        if self.circumference_mm is not None:
            self._roll_out(raw)

    def _roll_out(self, raw: Table) -> None:
        for wheel in _counted_wheels(raw):
            wheel["rolling_circumference_mm"] = self.circumference_mm
            wheel.pop("rolling_circumference_sd_mm", None)
            if self.circumference_sd_mm is not None:
                wheel["rolling_circumference_sd_mm"] = self.circumference_sd_mm


AS_FILED = OfRun()


@dataclass(frozen=True)
class CountedWheel:
    """The wheel whose edges are counted, known by what a ruler shows."""

    car: str
    name: str
    diameter_mm: float
    pulses_per_turn: int


def counted_wheel(text: str, source: str) -> CountedWheel | None:
    """The wheel of a car file's text; None for a file that no car could be read from."""
    raw = parse_toml(text, source)
    wheels = _counted_wheels(raw)
    if len(wheels) != 1:
        return None
    (wheel,) = wheels
    return CountedWheel(
        car=raw.get("name", ""),
        name=wheel["name"],
        diameter_mm=wheel.get("diameter_mm", 0.0),
        pulses_per_turn=raw["encoder"].get("pulses_per_turn", 0),
    )


def _counted_wheels(raw: Table) -> list[dict[str, Any]]:
    encoder = raw.get("encoder")
    axle = encoder.get("axle") if isinstance(encoder, dict) else None
    named = [wheel for wheel in tables(raw, "wheels") if isinstance(wheel, dict)]
    return [wheel for wheel in named if axle is not None and wheel.get("name") == axle]
