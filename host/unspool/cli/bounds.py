"""Numbers on the command line, each within the bounds of what a builder can mean."""

from __future__ import annotations

from collections.abc import Callable

import typer


def within(low: float, high: float) -> Callable[[float | None], float | None]:
    """An option's callback that refuses what is outside low to high, NaN too."""

    def check(value: float | None) -> float | None:
        if value is not None and not low <= value <= high:
            raise typer.BadParameter(f"found {value:g}, expected a number from {low:g} to {high:g}")
        return value

    return check
