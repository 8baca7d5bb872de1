"""How far the wheel turned between two rests, from the edges of one push.

A hand starts and stops anywhere within a slot. So the boundaries between slots count, forward less
backward, from the slot at the first mark to the slot at the last. A hand's push pauses, jerks and
jiggles: it is cut into strokes at rests and turns. The lost edges of each stroke are estimated from
the neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from unspool.car.vehicle import Car
from unspool.instrument.sensors.closed_slot import long_gap
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.edges.turn_period import edges_a_turn
from unspool.reading.motion.glitches import shortest_interval_s, without_bounces, without_flicker
from unspool.study.rollout.disc import slot_places
from unspool.study.rollout.gaps import lost_between
from unspool.study.rollout.types import Pause, Travel

Indices = NDArray[np.intp]

REST_S = 1.0  # between two edges: the hand has let the wheel rest
# Turned back for less than this share of the push, after it: the car was put right onto the mark.
SETTLING = 0.5
NARROWEST = 0.1  # slot that is believed
# Turned back by more than this before the push, it was rolled onto the first mark: no jiggle.
MARK_TURNS = 0.25
_NONE = np.empty(0, dtype=np.int64)


@dataclass(frozen=True)
class _Stroke:
    """Edges rolled one way without a rest; boundary counts up forwards, on from stroke to stroke.

    The wheel stands between boundaries `cell` and `cell` + 1 when it is over.
    """

    edge: Indices
    boundary: NDArray[np.int64]
    way: int
    cell: int
    unsure: int


def travel(train: PulseTrain, car: Car) -> Travel:
    """How far the wheel turned in a push; never raises on a valid train."""
    train = train.as_seen_by(car.encoder.sensors)
    bounced = without_bounces(train, shortest_interval_s(train, car))
    kept = without_flicker(train, bounced)
    moves, before, after, settled = _push_alone(train, kept, car.encoder.pulses_per_turn)
    strokes = _strokes(train, moves)
    crossed = strokes[-1].cell if strokes else 0
    pulses = car.encoder.pulses_per_turn
    longest = max(strokes, key=lambda s: len(s.edge), default=None)
    steady = train.time_s[longest.edge] if longest else np.empty(0)
    shift, place_sd = slot_places(steady, longest.boundary if longest else _NONE, pulses)
    start, end = _cell(0, shift), _cell(crossed, shift)
    used = sum(len(s.edge) for s in strokes)
    lost = sum(int(np.ptp(s.boundary)) + 1 - len(s.edge) for s in strokes)
    return Travel(
        slots=abs(sum(end) - sum(start)) / 2.0,
        widths=(start[1] - start[0], end[1] - end[0]),
        place_sd=place_sd,
        crossed=crossed,
        edges=used,
        lost=lost + _lost_at_turns(train, strokes),
        unsure=sum(s.unsure for s in strokes),
        chatter=len(train) - len(kept),
        before=before,
        after=after,
        settled=settled,
        pauses=_pauses(train, moves),
        has_direction=bool(np.any(train.direction < 0)),
        pattern=1.0 + np.roll(shift, -1) - shift,
        period=edges_a_turn(steady),
        closed=long_gap(steady),
    )


def _push_alone(
    train: PulseTrain, kept: Indices, pulses: int
) -> tuple[list[Indices], int, int, int]:
    """The moves of the push, from rest to rest, and the edges before, after and settling."""
    moves = _split(kept, np.diff(train.time_s[kept]) >= REST_S)
    net = [int(train.direction[move].sum()) for move in moves]
    if not any(net):
        return moves, 0, 0, 0
    main = max(range(len(net)), key=lambda i: abs(net[i]))
    way = 1 if net[main] > 0 else -1
    first, last = 0, len(moves)
    while net[first] * way <= 0:
        first += 1
    while net[last - 1] * way <= 0:
        last -= 1
    back = -way * sum(net[last:])
    if back <= SETTLING * abs(sum(net[first:last])):
        last = len(moves)
    before = sum(len(move) for move in moves[:first])
    lowest = _rolled_to_mark(way * train.direction[moves[first]].astype(np.int64), pulses)
    before, moves[first] = before + lowest, moves[first][lowest:]
    after = sum(len(move) for move in moves[last:])
    return moves[first:last], before, after, back if last == len(moves) else 0


def _rolled_to_mark(step: NDArray[np.int64], pulses: int) -> int:
    """How many edges at the start of a move bring the car back to the mark; step: (n,) 1 or -1."""
    place = np.cumsum(step)
    lowest = int(np.argmin(place))
    far = max(2.0, MARK_TURNS * pulses)
    return lowest + 1 if place[lowest] <= -far else 0


def _split(edges: Indices, where: NDArray[np.bool_]) -> list[Indices]:
    """Edges cut after each place where `where`, one shorter, is true."""
    return list(np.split(edges, np.flatnonzero(where) + 1)) if len(edges) else []


def _strokes(train: PulseTrain, moves: list[Indices]) -> list[_Stroke]:
    lost = train.number - train.number[0] - np.arange(len(train)) if len(train) else train.number
    strokes: list[_Stroke] = []
    for move in moves:
        for run in _split(move, np.diff(train.direction[move]) != 0):
            strokes.append(_stroke(train, lost, strokes[-1] if strokes else None, run))
    return strokes


def _stroke(
    train: PulseTrain, lost: NDArray[np.int64], before: _Stroke | None, edge: Indices
) -> _Stroke:
    way = int(train.direction[edge[0]])
    missed, unsure = lost_between(train.time_s[edge], np.diff(lost[edge]))
    cell = before.cell if before else 0
    skipped = int(lost[edge[0]] - lost[before.edge[-1]]) if before else 0
    if before and skipped:
        # Edges lost while it turned round may have been of either way.
        unsure += before.way != way
        cell += skipped * way
    first = cell + 1 if way > 0 else cell
    boundary = first + way * np.r_[0, np.cumsum(missed + 1)]
    return _Stroke(edge, boundary, way, int(boundary[-1]) - (way < 0), unsure)


def _lost_at_turns(train: PulseTrain, strokes: list[_Stroke]) -> int:
    """Edges that the numbering shows to be lost between strokes."""
    ends = [(one.edge[-1], other.edge[0]) for one, other in pairwise(strokes)]
    return sum(int(train.number[b] - train.number[a] - (b - a)) for a, b in ends)


def _pauses(train: PulseTrain, moves: list[Indices]) -> tuple[Pause, ...]:
    """Rests on the way, where the wheel was turned on for more than a sensor's flicker."""
    pauses = []
    reached = np.cumsum([int(train.direction[move].sum()) for move in moves])
    for i in range(1, len(moves)):
        after, beyond = int(reached[i - 1]), int(reached[-1] - reached[i - 1])
        wait = float(train.time_s[moves[i][0]] - train.time_s[moves[i - 1][-1]])
        if min(abs(beyond), abs(after)) > 1 and (beyond > 0) == (after > 0):
            pauses.append(Pause(wait, abs(after), abs(beyond)))
    return tuple(pauses)


def _cell(cell: int, shift: NDArray[np.float64]) -> tuple[float, float]:
    """Where the slot between boundaries `cell` and `cell` + 1 begins and ends."""
    n = len(shift)
    low, high = cell + float(shift[cell % n]), cell + 1 + float(shift[(cell + 1) % n])
    return (low, high) if high - low > NARROWEST else (float(cell), cell + 1.0)
