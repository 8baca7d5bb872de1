"""unspool measures, explains and plans the runs of falling-weight cars.

In a notebook, from an edge file and a car file to numbers and pictures:

>>> import unspool
>>> car = unspool.load_car("sandpiper.toml")
>>> car.total_mass_kg
1.55

What is offered is listed in `unspool.notebook`; each name is loaded when it is first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

__version__ = "0.1.0"

if TYPE_CHECKING:
    from unspool.notebook import (
        FLAT,
        Car,
        Track,
        curve_frame,
        energy_figure,
        events_frame,
        load_car,
        load_track,
        motion_frame,
        open_store,
        read_edges,
        runs_frame,
        speed_figure,
        stretches_figure,
        write_edges,
    )

__all__ = [
    "FLAT",
    "Car",
    "Track",
    "curve_frame",
    "energy_figure",
    "events_frame",
    "load_car",
    "load_track",
    "motion_frame",
    "open_store",
    "read_edges",
    "runs_frame",
    "speed_figure",
    "stretches_figure",
    "write_edges",
]


def __getattr__(name: str) -> object:
    if name in __all__:
        from unspool import notebook

        return getattr(notebook, name)
    raise AttributeError(f"module 'unspool' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
