"""Which slot each edge is: numbers for the edges of one leg, a stretch rolled in one direction.

Most intervals hold exactly one slot. Where an interval does not fit its neighbours, edges were lost
or made up, and the edges on both sides decide: near any instant the wheel's position is a parabola
of time, so position = c0 + c1 t + c2 t^2 (+ m on the far side) by least squares gives the number m
of slots passed between. It counts as certain when m is within a third of a whole number. From rest
to rest there is no far side; the parabola's vertex is then where the wheel stood.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

ANCHORS = 6  # edges on each side that decide over a gap
AROUND = 6  # spans on each side that a span is compared with
FEWEST = 5  # intervals that a walk needs to start from
SOUND = 3  # intervals that a gap needs on each side to be judged from both
CERTAIN = 0.34  # of a slot
WINDOWS = (8, 5)  # edges that a walk looks back on
LIKELY = 0.45  # likewise, in a walk, where the alternatives are worse
ODD_SHORT, ODD_LONG = 0.8, 1.25  # span over its neighbours' that asks for a closer look
RHYTHM = 1.45  # intervals of neighbours in a walk differ by no more than this factor
LONGEST_LOSS = 4  # slots that a walk towards rest may find missing in one interval
SLOW_START, SLOW_END = 0.35, 0.2  # of the peak speed: below it, edges are walked one by one


@dataclass(frozen=True)
class Leg:
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

    def __init__(self, time_s: NDArray[np.float64], lost: NDArray[np.int64], steady: bool) -> None:
        self.time_s = time_s
        self.steady = steady
        self.lost = lost  # (n,) cumulated count of edges that the numbering shows to be lost
        self.edge: list[int] = []
        self.slot: list[int] = []
        self.uncertain = 0

    def number(self, first: int, last: int, odd: NDArray[np.intp]) -> None:
        """Number edges first..last (inclusive), looking closer where an interval is odd."""
        self.edge, self.slot = [first], [0]
        position = first
        for zone_first, zone_last in _zones(odd):
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
        curve, step = _parabola_with_step(t, count, beyond, degree)
        if round(step) <= 0 and not known:
            self._keep_nearer(far, curve)
            return
        whole = max(round(step), known + 1)
        self.uncertain += abs(step - whole) > CERTAIN
        far_slot = self.slot[-1] + whole
        self._fill(range(near + 1, far), curve, far_slot)
        self._append(far, far_slot)

    def _keep_nearer(self, far: int, curve: _Curve) -> None:
        """Two edges at one slot: the one that lies where the curve has it stays."""
        last = self.edge[-1]
        off = [abs(curve(float(self.time_s[e])) - self.slot[-1]) for e in (last, far)]
        if off[1] < off[0]:
            self.edge[-1] = far

    def _fill(self, between: range, curve: _Curve, far_slot: int) -> None:
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
        are asked and the fewer lost edges believed: near a change of slope the long one overshoots,
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
        places = [place for c in curves if (place := c.up_to_rest(t, forward)) is not None]
        if not places:
            return None
        steps = [(place - self.slot[-1 if forward else 0]) * sense for place in places]
        found = [round(one) for one in steps if abs(one - round(one)) < LIKELY]
        return min((one for one in found if 1 <= one <= LONGEST_LOSS + known), default=0)

    def _outermost(self, window: int, forward: bool) -> _Curve:
        ends = slice(-window, None) if forward else slice(window)
        slots = np.array(self.slot[ends], dtype=float)
        return _Curve.through(self.time_s[self.edge[ends]], slots)

    def _in_rhythm(self, edge: int, forward: bool) -> bool:
        """Whether an edge comes after an interval like those before it: a jerk, but no loss."""
        ends = slice(-3, None) if forward else slice(3)
        edges, slots = self.edge[ends], self.slot[ends]
        if len(edges) < 3:
            return False
        each = np.diff(self.time_s[edges]) / np.diff(slots)
        wait = abs(float(self.time_s[edge] - self.time_s[edges[-1 if forward else 0]]))
        return bool(each.min() / RHYTHM < wait < each.max() * RHYTHM)


@dataclass(frozen=True)
class _Curve:
    """position = polynomial of (t - middle), highest power first."""

    middle: float
    power: tuple[float, float, float]

    @classmethod
    def through(cls, t: NDArray[np.float64], position: NDArray[np.float64]) -> _Curve:
        """Least squares, a line where there are but three points.

        With t about its mean the normal equations come apart; a general solver would take ten
        times as long, and a leg asks for hundreds of these.
        """
        middle, origin = float(t.mean()), float(position[0])
        s, p = t - middle, position - origin
        mean = float(p.mean())
        s2 = float(s @ s)
        if s2 == 0.0:
            return cls(middle, (0.0, 0.0, origin + mean))
        square = s * s - s2 / len(s)
        skew = float(square @ s) / s2
        bend = square - skew * s
        own = float(bend @ bend)
        a = float(bend @ p) / own if len(t) > 3 and own > 1e-12 * s2 * s2 else 0.0
        b = float(s @ p) / s2 - skew * a
        return cls(middle, (a, b, origin + mean - a * s2 / len(s)))

    def __call__(self, t: float) -> float:
        a, b, c = self.power
        s = t - self.middle
        return (a * s + b) * s + c

    def speed(self, t: float) -> float:
        a, b, _ = self.power
        return 2.0 * a * (t - self.middle) + b

    def up_to_rest(self, t: float, forward: bool) -> float | None:
        """Position at t, or at rest when the wheel, followed to t, rests by then.

        None when it has rested for longer than being CERTAIN of a slot wrong could explain.
        """
        a, b, _ = self.power
        if a < 0.0 if forward else a > 0.0:
            rest = self.middle - b / (2.0 * a)
            over = t - rest if forward else rest - t
            if over > (CERTAIN / abs(a)) ** 0.5:
                return None
            if over > 0.0:
                return self(rest)
        return self(t)


def _parabola_with_step(
    t: NDArray[np.float64], count: NDArray[np.float64], beyond: NDArray[np.float64], degree: int
) -> tuple[_Curve, float]:
    """The curve through both sides, and how many slots lie between them."""
    middle = float(t.mean())
    columns = np.column_stack([np.vander(t - middle, degree + 1), -beyond])
    solution = np.linalg.lstsq(columns, count)[0]
    power = np.r_[np.zeros(2 - degree), solution[:-1]]
    return _Curve(middle, (float(power[0]), float(power[1]), float(power[2]))), float(solution[-1])


def _odd(
    time_s: NDArray[np.float64], lost: NDArray[np.int64], first: int, last: int
) -> NDArray[np.intp]:
    """Edges first <= i < last whose interval to the next one does not fit its neighbours.

    Judged by the two spans of two intervals that it is part of: tooth and gap of a disc may differ
    much in width, a tooth and a gap together hardly do.
    """
    interval = np.diff(time_s[first : last + 1])
    jump = np.diff(lost[first : last + 1]) > 0
    if len(interval) < AROUND + 2:
        return np.flatnonzero(jump) + first
    span = interval[1:] + interval[:-1]
    padded = np.pad(span, AROUND, mode="reflect", reflect_type="odd")
    near = np.lib.stride_tricks.sliding_window_view(padded, 2 * AROUND + 1)
    ratio = span / np.maximum(np.median(near, axis=1), 1e-12)
    before, after = np.r_[ratio[0], ratio], np.r_[ratio, ratio[-1]]
    long = np.minimum(before, after) > ODD_LONG
    short = np.maximum(before, after) < ODD_SHORT
    return np.flatnonzero(long | short | jump) + first


def _zones(odd: NDArray[np.intp]) -> list[tuple[int, int]]:
    """Runs of odd intervals with fewer than two sound ones between them."""
    if not len(odd):
        return []
    breaks = np.flatnonzero(np.diff(odd) > 2)
    return [
        (int(a), int(b))
        for a, b in zip(odd[np.r_[0, breaks + 1]], odd[np.r_[breaks, len(odd) - 1]], strict=True)
    ]


def number_leg(
    time_s: NDArray[np.float64],
    lost: NDArray[np.int64],
    edge: NDArray[np.intp],
    doubtful: NDArray[np.intp] | None = None,
    steady: bool = False,
) -> Leg:
    """Number the edges of one leg.

    time_s, lost: (n,) over the train; edge: (k,) indices of the leg's candidates, in time order.
    doubtful: indices of edges that may belong to the leg's slow start although a rule has put them
    aside; the walk towards rest decides. steady: all edges are known to be of this leg, which may
    have all but rested on its way. Edges that are no slot of this leg are left out.
    """
    t = time_s[edge]
    if len(t) < 4:
        steps = np.r_[0, np.diff(lost[edge]) + 1][: len(t)]
        return Leg(edge, np.cumsum(steps), 0)
    first, last = _fast_part(t)
    if doubtful is not None:
        start = np.union1d(doubtful[doubtful < edge[first]], edge[:first])
        edge = np.r_[start, edge[first:]]
        first, last = len(start), last + len(start) - first
        t = time_s[edge]
    odd = _odd(t, lost[edge], max(first - 2 * AROUND, 0), min(last + 2 * AROUND, len(t) - 1))
    odd = odd[(odd >= first) & (odd < last)]
    first, last = _sound_ends(odd, first, last)
    resolver = _Resolver(t, lost[edge], steady)
    resolver.number(first, last, odd[(odd >= first) & (odd < last)])
    resolver.walk(range(first - 1, -1, -1))
    resolver.walk(range(last + 1, len(t)))
    slot = np.array(resolver.slot, dtype=np.int64)
    return Leg(edge[resolver.edge], slot - slot[0], resolver.uncertain)


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


def _sound_ends(odd: NDArray[np.intp], first: int, last: int) -> tuple[int, int]:
    """The part between first and last that starts and ends with enough sound intervals to judge by.

    What is left over at the ends is walked.
    """
    near_start = odd[(odd < (first + last) // 2)]
    while len(near_start) and near_start[0] - first < SOUND:
        first = int(near_start[0]) + 1
        near_start = near_start[1:]
    near_end = odd[odd >= (first + last) // 2]
    while len(near_end) and last - near_end[-1] <= SOUND:
        last = int(near_end[-1])
        near_end = near_end[:-1]
    return first, last
