"""One measured figure and how `make bench` prints it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """`baseline_value` is measured in the same run as `value`, in the same unit."""

    name: str
    value: float
    unit: str
    baseline: str | None = None
    baseline_value: float | None = None

    def __str__(self) -> str:
        line = f"{self.name} {self.value:.4g} {self.unit}"
        if self.baseline is None or self.baseline_value is None:
            return line
        if not self.baseline_value:  # there is no ratio to nothing
            return f"{line} ({self.baseline} {self.baseline_value:.4g})"
        ratio = self.value / self.baseline_value
        return f"{line} ({self.baseline} {self.baseline_value:.4g}, {ratio:.3g})"
