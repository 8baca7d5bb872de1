"""What was measured for one run and stands in place of the car file's value."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.car.faults import tables
from unspool.car.toml_source import Table


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
        encoder = raw.get("encoder")
        axle = encoder.get("axle") if isinstance(encoder, dict) else None
        for wheel in tables(raw, "wheels"):
            if isinstance(wheel, dict) and wheel.get("name") == axle:
                wheel["rolling_circumference_mm"] = self.circumference_mm
                wheel.pop("rolling_circumference_sd_mm", None)
                if self.circumference_sd_mm is not None:
                    wheel["rolling_circumference_sd_mm"] = self.circumference_sd_mm


AS_FILED = OfRun()
