"""Where the simulation of a run cuts off, for one run and for many alike."""

from __future__ import annotations

# Two events nearer than this happen at one place. It is far above the rounding of a run's length
# and far below any part of a car.
SAME_PLACE_M = 1e-9
# A car in a dip swings ever less, without end. Swings below this end in a stop: no tape shows them.
SMALLEST_SWING_M = 1e-6
# A run of many tiers over a floor of many points has some hundreds; more is an error of ours.
MOST_SEGMENTS = 200_000
# The closed form is accurate up to 2 drag s / mass of about 20, where the speed has settled. A
# longer segment is split after this many lengths mass / drag: half of that, for safety.
SETTLING_LENGTHS = 5.0
# Of the lever, for rounding: a tier as large as the one before it does not let the string go slack.
SAME_LEVER = 1.0 + 1e-12
