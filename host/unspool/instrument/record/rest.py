"""How long a wheel must rest before no more edges of the same run can follow."""

from __future__ import annotations

REST_S = 2.5  # at least: a car takes this to roll back from where it stood
LONGEST_REST_S = 10.0  # at which even a car that crept before is taken to stand
# A car that slows evenly and needed t for its last two edges needs at most (1 + sqrt 2) t for
# two more, if it makes them at all.
REST_STEPS = 3
# A wheel that keeps turning needs no longer for an edge. So lost edges explain as much silence.
LOST_STEP_S = 0.1
LONGEST_RUN_S = 60.0  # a count of lost edges that explains more is no help


def rest_for_good(step: int, lost: int, tick_hz: int) -> float:
    """In ticks. step: ticks between the last two moves. lost: edges lost since."""
    rest = min(max(REST_S * tick_hz, REST_STEPS * step), LONGEST_REST_S * tick_hz)
    turning = lost * max(REST_STEPS * step, LOST_STEP_S * tick_hz)
    return rest + min(turning, LONGEST_RUN_S * tick_hz)
