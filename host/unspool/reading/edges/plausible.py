"""Whether the times of edges can be seconds: the wheel's speed that they mean decides.

A falling-weight car rolls at 0.1 to 6 m/s. The bounds are wider, and only the median of all edges
counts, so that a push or a long rest does not refuse a run. Chatter is left out.
"""

from __future__ import annotations

import numpy as np

from unspool.errors import InputError
from unspool.language import _, later, localised
from unspool.reading.edges.pulse_train import PulseTrain

SLOWEST_M_S, FASTEST_M_S = 0.004, 40.0
# Fewer edges may be a wheel that was only nudged, at any pace.
FEWEST_EDGES = 20
# A slot of a run takes at least this share of the longest tenth's time.
CHATTER_SHARE = 0.05
# Seconds in one of each unit that people export times in.
UNITS = {
    later("microseconds"): 1e-6,
    later("milliseconds"): 1e-3,
    later("minutes"): 60.0,
    later("hours"): 3600.0,
}
_USUAL_M_S = (0.05, 10.0)


def check_times(train: PulseTrain, metres_per_edge: float) -> None:
    """Raises InputError when the times cannot be seconds; names the unit that they look like."""
    steps = np.diff(train.time_s)
    steps = steps[steps > 0.0]
    if len(steps) < FEWEST_EDGES:
        return
    # A chattering sensor gives many steps that are far shorter than a slot takes.
    slots = steps[steps >= CHATTER_SHARE * np.quantile(steps, 0.9)]
    speed = metres_per_edge / float(np.median(slots))
    if SLOWEST_M_S <= speed <= FASTEST_M_S:
        return
    looks = [unit for unit, s in UNITS.items() if _USUAL_M_S[0] <= speed / s <= _USUAL_M_S[1]]
    hint = _("the times are not in seconds")
    if looks:
        hint = _("the times look like {unit}", unit=_(looks[0]))
    raise InputError(
        _(
            "time_s: found edges that mean a speed of {speed} m/s, expected seconds; {hint}, or the"
            " wheel or pulses_per_turn in the car file is wrong",
            speed=localised(format(speed, ".3g")),
            hint=hint,
        )
    )
