"""What a law is fitted to: edges, floor and car; and which laws are possible."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.known import Known
from unspool.reading.events.masses import GradeAcceleration, Masses
from unspool.reading.events.piecewise_law import PiecewiseLaw, follow_law
from unspool.reading.events.trace import Trace

LEAST_STRETCH_M = 1e-5  # two changepoints closer than any edge could separate
# Beyond any car that a falling weight drives or a hand pushes.
MOST_DRAG_PER_M, MOST_SPEED_M_S, MOST_ACCELERATION_M_S2 = 2.0, 100.0, 200.0
MOST_LINEAR_PER_S = 2.0
LONGEST_S = 1e6  # from the first edge to the last changepoint: a car at a crawl takes for ever
# Shares of the ideal impulse and of the weight's pull that no string and no scale explains.
LEAST_SHARE, MOST_SHARE = 0.0, 3.0


@dataclass(frozen=True)
class Problem:
    """known: of the drags and of the string, by the parameters' names."""

    edges: WheelEdges
    grade: GradeAcceleration
    masses: Masses
    known: Mapping[str, Known]
    from_rest: bool = True

    def trace(self, law: PiecewiseLaw) -> Trace:
        return follow_law(law, self.grade, self.masses)

    def possible_trace(self, law: PiecewiseLaw) -> Trace | None:
        """The law followed; None if it cannot be the run or stops before its last changepoint."""
        if not self._possible(law):
            return None
        trace = self.trace(law)
        reached = all(isfinite(at) for at in trace.changepoint_s)
        return trace if reached and trace.pieces[-1].time_s < LONGEST_S else None

    def _possible(self, law: PiecewiseLaw) -> bool:
        """Whether changepoints are in order, where edges are, and no number is beyond reason."""
        places = (law.begin_m, *law.changepoint_m)
        return (
            all(b - a > LEAST_STRETCH_M for a, b in pairwise(places))
            and places[-1] < law.begin_m + self.edges.reach_m
            and 0.0 <= law.drag_per_m < MOST_DRAG_PER_M
            and abs(law.linear_per_s) < MOST_LINEAR_PER_S
            and LEAST_SHARE <= law.catch < MOST_SHARE
            and LEAST_SHARE < law.drive < MOST_SHARE
            and 0.0 <= law.launch_speed < MOST_SPEED_M_S
            and all(abs(a) < MOST_ACCELERATION_M_S2 for a in law.acceleration)
            and isfinite(law.launch_s)
        )
