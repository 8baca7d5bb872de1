"""What a coarse wheel, or a coarse clock, cannot show of a run's events.

A law goes through any few edges. If fewer lie on a stretch than its numbers take, the places of the
changes beside it are anybody's guess. The launch lies within a slot before the first edge. More is
known of it only if the first stretch has edges enough to be followed back. And times as coarse as
slots hide edges that the sensor missed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from unspool.model.outcome import Event, EventKind
from unspool.model.params import Params
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.match_winding import FORCED, TierChange, WindingMatch
from unspool.reading.motion.rounded_times import LEAST_SD, MOST_SD, rounding_slots
from unspool.reading.motion.types import Motion

LEAST_EDGES = 3  # of a stretch beside a change that can be placed
FIRST_EDGES = 4  # of the first stretch, to follow it back to the launch
OUTSIDE = 0.25  # of a slot: a launch that lies further from its slot contradicts the edges
WITHIN_A_SLOT = 1.0 / sqrt(12.0)
HALF_A_SLOT = 0.5  # sd of a release if the stretch before it has too few edges
# Rounded times hide missed edges, and each shifts the later ones by a slot. The sd of that, over
# the sd of one edge's place; and the share that a sensor misses, if no miss can be seen.
UNSEEN, MISSED_SHARE = 3.0, 0.005
# What the law's own sd of a change grows by, if rounding leaves no slot and a whole one. Neighbours
# are rounded alike, and a missed edge among them looks like a change.
ROUNDED_AT_NONE, ROUNDED_A_SLOT = 0.7, 7.2


@dataclass(frozen=True)
class Doubt:
    """What is not known of places beyond the law's own errors.

    The law has all places too far from the launch by shift_m. Their sd is launch_sd_m and, besides,
    a share of the way. Each stretch has so many edges, (k + 1,). Times that are as coarse as slots
    make a change less sure by the factor rounded_sds, which is 1 otherwise. A launch is hidden if
    it may lie in the slot before the first edge.
    """

    shift_m: float
    launch_sd_m: float
    share: float
    pitch_m: float
    edges: NDArray[np.int64]
    rounded_sds: float
    hidden: bool

    @property
    def rounded(self) -> bool:
        return self.rounded_sds > 1.0

    @classmethod
    def of(cls, motion: Motion, fit: LawFit, problem: Problem, machine: Params) -> Doubt:
        """motion: with the law's launch in it."""
        pitch_m = problem.edges.pitch_m
        place = motion.distance_m[motion.spun : motion.way_out]
        bounds = np.searchsorted(place, [*fit.law.changepoint_m, np.inf])
        edges = np.diff(bounds, prepend=0)
        slots = rounding_slots(motion.time_s, motion.train.tick_s)
        rounded = slots > LEAST_SD
        unseen = UNSEEN * slots * pitch_m if rounded else 0.0
        sds = ROUNDED_AT_NONE + ROUNDED_A_SLOT * slots if rounded else 1.0
        hidden = _hidden(motion, fit, problem, machine)
        shift, sd = _of_launch(motion, fit, pitch_m, hidden, int(edges[0]))
        share = MISSED_SHARE if slots > MOST_SD else 0.0
        return cls(shift, hypot(sd, unseen), share, pitch_m, edges, sds, hidden)

    def sd_m(self, distance_m: float) -> float:
        return hypot(self.launch_sd_m, self.share * distance_m)

    def beside(self, changepoint: int) -> int:
        """The fewest edges of the two stretches that meet at a changepoint."""
        return int(self.edges[changepoint : changepoint + 2].min())


def _hidden(motion: Motion, fit: LawFit, problem: Problem, machine: Params) -> bool:
    """Whether a car that already rolls at its first edge may have set off within a slot of it."""
    if motion.spun or motion.train.lost_before or not fit.law.launch_speed:
        return False
    masses, strongest = problem.masses, max(tier.lever for tier in machine.tiers)
    most = masses.acceleration(strongest, fit.law.acceleration[-1])
    return fit.law.launch_speed**2 < FORCED * 2.0 * most * problem.edges.pitch_m


def _of_launch(
    motion: Motion, fit: LawFit, pitch_m: float, hidden: bool, edges: int
) -> tuple[float, float]:
    """By how much the law has the launch too far back, and the sd of where it was."""
    if hidden:  # such a law begins half a slot before the first edge
        return 0.0, WITHIN_A_SLOT * pitch_m
    if motion.spun or not fit.law.placed or fit.law.launch_speed > 0.0 or edges >= FIRST_EDGES:
        return 0.0, 0.0
    before = float(motion.distance_m[0]) / pitch_m
    outside = not -OUTSIDE < before < 1.0 + OUTSIDE
    return (before - 0.5) * pitch_m if outside else 0.0, WITHIN_A_SLOT * pitch_m


def placed(match: WindingMatch, doubt: Doubt) -> WindingMatch:
    """The match with only the tier changes that have edges enough on both sides."""
    changes = tuple(_placed(change, doubt) for change in match.changes)
    if doubt.rounded:  # one of two that were taken for one: its place is neither's
        seen = [change.changepoint is not None for change in match.changes]
        lone = [all(seen[max(i - 1, 0) : i + 2]) for i in range(len(seen))]
        changes = tuple(
            change if ok else replace(change, changepoint=None)
            for change, ok in zip(changes, lone, strict=True)
        )
    return replace(match, changes=changes)


def _placed(change: TierChange, doubt: Doubt) -> TierChange:
    if change.changepoint is None or doubt.beside(change.changepoint) >= LEAST_EDGES:
        return change
    return replace(change, changepoint=None, edges=doubt.beside(change.changepoint))


def widened(events: tuple[Event, ...], match: WindingMatch, doubt: Doubt) -> tuple[Event, ...]:
    """The events with the doubt in their sds, counted from where the launch may be."""
    end = match.end_changepoint
    vague = end is not None and int(doubt.edges[end]) < LEAST_EDGES
    return tuple(_widened(event, doubt, vague) for event in events)


def _widened(event: Event, doubt: Doubt, vague: bool) -> Event:
    if event.kind is EventKind.LAUNCH:
        unknown = doubt.launch_sd_m >= WITHIN_A_SLOT * doubt.pitch_m
        return replace(event, time_sd_s=None) if unknown else event
    ends = event.kind in (EventKind.RELEASE, EventKind.LANDING)
    place = event.distance_m - doubt.shift_m
    more = hypot(doubt.sd_m(place), HALF_A_SLOT * doubt.pitch_m if ends and vague else 0.0)
    changes = event.kind in (EventKind.TIER_CHANGE, EventKind.RELEASE, EventKind.LANDING)
    own = event.distance_sd_m
    if own is not None and changes:
        own *= doubt.rounded_sds
    sd = None if own is None else hypot(own, more)
    return replace(event, distance_m=place, distance_sd_m=sd)


def shifted(motion: Motion, doubt: Doubt) -> Motion:
    """The motion counted from where the launch may be."""
    return replace(
        motion,
        distance_m=motion.distance_m - doubt.shift_m,
        furthest_m=motion.furthest_m - doubt.shift_m,
        stop_m=motion.stop_m - doubt.shift_m,
    )
