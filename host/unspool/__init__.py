"""unspool measures, explains and plans the runs of falling-weight cars.

In a notebook, from an edge file and a car file to numbers and pictures:

>>> import unspool
>>> car = unspool.load_car("sandpiper.toml")
>>> expected = unspool.predict(car)
>>> expected.starts, round(expected.energy.stored, 2)
(True, 3.51)
>>> reading = unspool.analyse(unspool.read_edges("run.csv"), car)
>>> [event.kind.value for event in reading.events]
['launch', 'tier_change', 'release', 'stop']
>>> list(unspool.motion_frame(reading).columns)[:3]
['time_s', 'distance_m', 'speed_m_s']
>>> unspool.speed_figure(reading).layout.xaxis.title.text
'distance (m)'

What is offered is listed in `unspool.notebook`; each name is loaded when it is first used.
"""

from __future__ import annotations

__version__ = "0.1.0"
TYPE_CHECKING = False  # of `typing`, whose import would come before the command's first line

if TYPE_CHECKING:
    from unspool.notebook import (
        FLAT,
        Car,
        Owned,
        Track,
        analyse,
        calibrate,
        changes_frame,
        coasts_of,
        compare,
        correct_run,
        curve_frame,
        differences_frame,
        energy_figure,
        events_frame,
        judge_coasts,
        limits_figure,
        load_car,
        load_track,
        losses_frame,
        motion_frame,
        open_store,
        plan,
        predict,
        read_edges,
        read_run,
        roll_out,
        rolling_from_ramp,
        runs_frame,
        speed_figure,
        stored_run,
        stretches_figure,
        sweep,
        sweep_figure,
        sweep_frame,
        tornado_figure,
        write_edges,
    )

__all__ = [
    "FLAT",
    "Car",
    "Owned",
    "Track",
    "analyse",
    "calibrate",
    "changes_frame",
    "coasts_of",
    "compare",
    "correct_run",
    "curve_frame",
    "differences_frame",
    "energy_figure",
    "events_frame",
    "judge_coasts",
    "limits_figure",
    "load_car",
    "load_track",
    "losses_frame",
    "motion_frame",
    "open_store",
    "plan",
    "predict",
    "read_edges",
    "read_run",
    "roll_out",
    "rolling_from_ramp",
    "runs_frame",
    "speed_figure",
    "stored_run",
    "stretches_figure",
    "sweep",
    "sweep_figure",
    "sweep_frame",
    "tornado_figure",
    "write_edges",
]


def __getattr__(name: str) -> object:
    if name in __all__:
        from unspool import notebook

        return getattr(notebook, name)
    raise AttributeError(f"module 'unspool' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
