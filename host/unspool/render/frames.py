"""Results as pandas frames, for notebooks and spreadsheets."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

    from unspool.model.outcome import Prediction
    from unspool.reading.events.types import Reading
    from unspool.study.calibration import Calibration
    from unspool.study.compare import Comparison
    from unspool.study.plan import Plan
    from unspool.study.sweep import Sweep

_ACCELERATION = ("acceleration_m_s2", "acceleration_sd_m_s2")


def frame(data: Any) -> pd.DataFrame:
    """Rows or columns, as pandas takes them; pandas is loaded here and not before."""
    import pandas as pd

    return pd.DataFrame(data)


def motion_frame(reading: Reading) -> pd.DataFrame:
    """One row an edge of the run: time_s, distance_m, speed and acceleration with their sd."""
    motion = reading.motion
    names = ("time_s", "distance_m", "speed_m_s", "speed_sd_m_s")
    return frame({name: getattr(motion, name) for name in (*names, *_ACCELERATION)})


def curve_frame(prediction: Prediction) -> pd.DataFrame:
    """The predicted run as time_s (0 at the launch), distance_m and speed_m_s."""
    curve = prediction.curve
    names = ("time_s", "distance_m", "speed_m_s")
    return frame({name: getattr(curve, name) for name in names})


def events_frame(result: Reading | Prediction) -> pd.DataFrame:
    """One row an event, with all that is known of it."""
    return frame([asdict(event) | {"kind": event.kind.value} for event in result.events])


def losses_frame(calibration: Calibration) -> pd.DataFrame:
    """One row a loss term: value, 90 % interval, and whether the runs determine it."""
    return frame([asdict(term) for term in calibration.terms])


def differences_frame(comparison: Comparison) -> pd.DataFrame:
    """One row a quantity and pair of groups: second less first, with its 95 % interval."""
    return frame(
        [
            {
                "quantity": one.quantity.key,
                "first": one.first,
                "second": one.second,
                "difference": one.estimate.value,
                "low": one.estimate.interval[0] if one.estimate.interval else None,
                "high": one.estimate.interval[1] if one.estimate.interval else None,
                "verdict": one.verdict.value,
                "more_runs": one.more_runs,
            }
            for one in comparison.differences
        ]
    )


def changes_frame(plan: Plan) -> pd.DataFrame:
    """One row a property of the car: what a tenth less and a tenth more of it do to the goal."""
    from unspool.render.words.plan import change_name

    rows = [(change_name(one), one.less, one.more) for one in plan.changes]
    return frame([{"name": name, "less": less, "more": more} for name, less, more in rows])


def sweep_frame(sweep: Sweep) -> pd.DataFrame:
    """One row a set of sizes, in SI: its sizes, whether it is possible, distance_m and limit."""
    from itertools import product

    names = [
        f"{axis.what}{'' if axis.tier is None else f'_{axis.tier}'}_{axis.unit}"
        for axis in sweep.axes
    ]
    sets = list(product(*(axis.values for axis in sweep.axes)))
    columns = {name: [one[i] for one in sets] for i, name in enumerate(names)}
    results = {
        "possible": sweep.possible.ravel(),
        "distance_m": sweep.distance_m.ravel(),
        "score": sweep.score.ravel(),
        "limit": sweep.limit_names.ravel(),
    }
    return frame({**columns, **results})
