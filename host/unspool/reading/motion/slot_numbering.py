"""Which slot each edge is: numbers for the edges of one leg, a stretch rolled in one direction.

Most intervals hold exactly one slot. Where an interval does not fit its neighbours, edges were lost
or made up, and the edges on both sides decide. Near any instant the wheel's position is a parabola
of time. So position = c0 + c1 t + c2 t^2 (+ m on the far side) by least squares gives the number m
of slots passed between. It counts as certain when m is within a third of a whole number. From rest
to rest there is no far side; the parabola's vertex is then where the wheel stood.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from unspool.reading.motion.local_parabola import LocalParabola, parabola_with_step
from unspool.reading.motion.odd_intervals import AROUND, odd_intervals, sound_ends, zones_of
from unspool.reading.motion.rounded_times import unmissed
from unspool.reading.motion.second_look import second_look

ANCHORS = 6  # edges on each side that decide over a gap
FEWEST = 5  # intervals that a walk needs to start from
CERTAIN = 0.34  # of a slot: the next whole number is then about twice as far off
WINDOWS = (8, 5)  # edges that a walk looks back on
LIKELY = 0.45  # likewise, in a walk, where the alternatives are worse
RHYTHM = 1.45  # intervals of neighbours in a walk differ by no more than this factor
FROM_REST = 2.45  # of the second slot's time, the first one's; two slots take 2.7 and more
LONGEST_LOSS = 4  # slots that a walk towards rest may find missing in one interval
SLOW_START, SLOW_END = 0.35, 0.2  # of the peak speed: below it, edges are walked one by one


@dataclass(frozen=True)
class MotionLeg:
    """Edges rolled in one direction, in time order: index into the train and slot counted from 0.

    uncertain counts gaps whose number of slots was not within CERTAIN of a whole number; spun is
    how many edges at the start a spinning wheel made.
    """

    edge: NDArray[np.intp]
    slot: NDArray[np.int64]
    uncertain: int
    spun: int = 0


class _Resolver:
    """Grows the list of numbered edges of a leg from its fastest part outwards."""

    def __init__(
        self,
        time_s: NDArray[np.float64],
        lost: NDArray[np.int64],
        steady: bool,
        tick_s: float,
    ) -> None:
        self.time_s = time_s
        self.steady = steady
        self.tick_s = tick_s
        self.lost = lost  # (n,) cumulated count of edges that the numbering shows to be lost
        self.edge: list[int] = []
        self.slot: list[int] = []
        self.uncertain = 0

    def number(self, first: int, last: int, odd: NDArray[np.intp]) -> None:
        """Number edges first..last (inclusive), looking closer where an interval is odd."""
        self.edge, self.slot = [first], [0]
        position = first
        for zone_first, zone_last in zones_of(odd):
            self._count_on(position, zone_first)
            far = min(last, zone_last + ANCHORS)
            later = odd[(odd > zone_last) & (odd < far)]
            self._cross(zone_first, zone_last + 1, int(later[0]) if len(later) else far)
            position = zone_last + 1
        self._count_on(position, last)

    def _count_on(self, first: int, last: int) -> None:
        start = self.slot[-1]
        self.edge.extend(range(first + 1, last + 1))
        self.slot.extend(range(start + 1, start + 1 + last - first))

    def _cross(self, near: int, far: int, far_last: int) -> None:
        """Bridge from edge `near`, the last one numbered, to `far`."""
        left, right = slice(-ANCHORS, None), np.arange(far, far_last + 1)
        t = np.r_[self.time_s[self.edge[left]], self.time_s[right]]
        n_left = len(t) - len(right)
        count = np.r_[self.slot[left], self.slot[-1] + np.arange(len(right))].astype(float)
        beyond = np.r_[np.zeros(n_left), np.ones(len(right))]
        known = int(self.lost[far] - self.lost[near])
        if len(t) < 5 or n_left < 2:
            self._append(far, self.slot[-1] + max(1, known + far - near))
            return
        degree = 2 if len(t) > 5 and n_left > 2 and len(right) > 2 else 1
        curve, step = parabola_with_step(t, count, beyond, degree)
        if round(step) <= 0 and not known:
            self._keep_nearer(far, curve)
            return
        whole = max(round(step), known + 1)
        self.uncertain += abs(step - whole) > CERTAIN
        far_slot = self.slot[-1] + whole
        self._fill(range(near + 1, far), curve, far_slot)
        self._append(far, far_slot)

    def _keep_nearer(self, far: int, curve: LocalParabola) -> None:
        """Two edges at one slot: the one that lies where the curve has it stays."""
        last = self.edge[-1]
        off = [abs(curve(float(self.time_s[e])) - self.slot[-1]) for e in (last, far)]
        if off[1] < off[0]:
            self.edge[-1] = far

    def _fill(self, between: range, curve: LocalParabola, far_slot: int) -> None:
        for edge in between:
            place = curve(float(self.time_s[edge]))
            slot = round(place)
            if self.slot[-1] < slot < far_slot and abs(place - slot) < CERTAIN:
                self._append(edge, slot)

    def _append(self, edge: int, slot: int) -> None:
        self.edge.append(edge)
        self.slot.append(slot)

    def walk(self, towards: range) -> None:
        """Number edges on towards rest, each from the parabola through the last ones numbered."""
        misfits = 0
        for edge in towards:
            at = len(self.edge) if towards.step > 0 else 0
            steps = self._steps_to(edge, towards.step)
            if steps is None or misfits > LONGEST_LOSS:
                return
            if steps == 0:
                misfits += 1
                continue
            misfits = 0
            outer = self.slot[at - (towards.step > 0)]
            self.edge.insert(at, edge)
            self.slot.insert(at, outer + steps * towards.step)

    def _steps_to(self, edge: int, sense: int) -> int | None:
        """Slots from the outermost edge numbered to this one; 0 for no slot, None beyond a rest.

        An interval in rhythm with those before it holds one slot. Otherwise two lengths of parabola
        are asked and the fewer lost edges believed. Near a change of slope the long one overshoots,
        and a lost edge is far rarer than such a change.
        """
        forward = sense > 0
        t = float(self.time_s[edge])
        outer = self.edge[-1 if forward else 0]
        known = abs(int(self.lost[edge] - self.lost[outer]))
        curves = [self._outermost(window, forward) for window in WINDOWS]
        rolling = all(curve.speed(t) > 0.0 for curve in curves)
        if (rolling or self.steady) and not known and self._in_rhythm(edge, forward):
            return 1
        places = [place for c in curves if (place := c.up_to_rest(t, forward, CERTAIN)) is not None]
        if not places:
            return None
        steps = [(place - self.slot[-1 if forward else 0]) * sense for place in places]
        found = [round(one) for one in steps if abs(one - round(one)) < LIKELY]
        likely = min((one for one in found if 1 <= one <= LONGEST_LOSS + known), default=0)
        return 1 if likely != 1 and not known and self._next_to_rest(edge, forward) else likely

    def _next_to_rest(self, edge: int, forward: bool) -> bool:
        """Whether it is the leg's outermost edge, as near as one slot from rest can make it.

        From rest, the second slot's time is at least sqrt(2) - 1 of the first one's. A change of
        tier between the first edges of a coarse wheel misleads the parabola; this it cannot.
        """
        if edge != (len(self.time_s) - 1 if forward else 0) or len(self.edge) < 2:
            return False
        outer, inner = (-1, -2) if forward else (0, 1)
        took = abs(float(self.time_s[self.edge[outer]] - self.time_s[self.edge[inner]]))
        each = took / abs(self.slot[outer] - self.slot[inner])
        return abs(float(self.time_s[edge] - self.time_s[self.edge[outer]])) < FROM_REST * each

    def _outermost(self, window: int, forward: bool) -> LocalParabola:
        ends = slice(-window, None) if forward else slice(window)
        slots = np.array(self.slot[ends], dtype=float)
        return LocalParabola.through(self.time_s[self.edge[ends]], slots)

    def _in_rhythm(self, edge: int, forward: bool) -> bool:
        """Whether an edge comes after an interval like those before it: a jerk, but no loss."""
        ends = slice(-3, None) if forward else slice(3)
        edges, slots = self.edge[ends], self.slot[ends]
        if len(edges) < 3:
            return False
        each = np.diff(self.time_s[edges]) / np.diff(slots)
        wait = abs(float(self.time_s[edge] - self.time_s[edges[-1 if forward else 0]]))
        return bool(each.min() / RHYTHM - self.tick_s < wait < each.max() * RHYTHM + self.tick_s)


def number_leg(
    time_s: NDArray[np.float64],
    lost: NDArray[np.int64],
    edge: NDArray[np.intp],
    doubtful: NDArray[np.intp] | None = None,
    steady: bool = False,
    tick_s: float = 0.0,
) -> MotionLeg:
    """Number the edges of one leg.

    time_s, lost: (n,) over the train; edge: (k,) indices of the leg's candidates, in time order;
    doubtful: indices of edges that a rule has put aside. They may still belong to the leg's slow
    start: the walk towards rest decides. If steady, all edges are known to be of this leg, which
    may have all but rested on its way. tick_s: what the times are rounded to. Edges that are no
    slot of this leg are left out.
    """
    t = time_s[edge]
    if len(t) < 4:
        steps = np.r_[0, np.diff(lost[edge]) + 1][: len(t)]
        return MotionLeg(edge, np.cumsum(steps), 0)
    first, last = _fast_part(t)
    if doubtful is not None:
        start = np.union1d(doubtful[doubtful < edge[first]], edge[:first])
        edge = np.r_[start, edge[first:]]
        first, last = len(start), last + len(start) - first
        t = time_s[edge]
    looked_at = max(first - 2 * AROUND, 0), min(last + 2 * AROUND, len(t) - 1)
    odd = odd_intervals(t, lost[edge], *looked_at, tick_s)
    odd = odd[(odd >= first) & (odd < last)]
    first, last = sound_ends(odd, first, last)
    resolver = _Resolver(t, lost[edge], steady, tick_s)
    resolver.number(first, last, odd[(odd >= first) & (odd < last)])
    resolver.walk(range(first - 1, -1, -1))
    resolver.walk(range(last + 1, len(t)))
    own = np.array(resolver.edge)
    slot = second_look(t[own], np.array(resolver.slot), lost[edge[own]], tick_s)
    slot = unmissed(t[own], slot, tick_s)
    return MotionLeg(edge[own], slot - slot[0], resolver.uncertain)


def _fast_part(t: NDArray[np.float64]) -> tuple[int, int]:
    """First and last edge of the part around the peak speed that needs no walking."""
    span = max(1, min(8, len(t) // 4))
    speed = span / np.maximum(t[span:] - t[:-span], 1e-9)
    # The fastest tenth, not the fastest: a made-up edge looks fast.
    fast = float(np.percentile(speed, 90))
    peak = int(np.argmin(np.abs(speed - fast)))
    slow_before = np.flatnonzero(speed[:peak] < SLOW_START * fast)
    slow_after = np.flatnonzero(speed[peak:] < SLOW_END * fast)
    first = int(slow_before[-1]) + 1 if len(slow_before) else 0
    last = peak + int(slow_after[0]) - 1 + span if len(slow_after) else len(t) - 1
    # The outermost spans have neighbours on one side only: walked, they are judged better.
    first, last = min(first + AROUND, peak), max(last - AROUND, min(peak + span, len(t) - 1))
    short = max(0, FEWEST - (last - first))
    return max(first - short, 0), min(last + short, len(t) - 1)
