"""A law followed from launch to rest, and what it says of any instant."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from unspool.reading.events.piece import Flow, Piece
from unspool.reading.events.taper import Bridge, Crossing

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Instants:
    """The motion at (n,) times; derivatives are (n, 6) over the numbers of the piece that each time
    is in, `which` of them.
    """

    which: NDArray[np.intp]
    distance_m: Array
    speed: Array
    acceleration: Array
    _flow: Flow
    _crossing: Crossing | None
    _bridged: NDArray[np.bool_]

    def distance_derivatives(self) -> Array:
        out = self._flow.distance_derivatives()
        if self._crossing is not None:
            out[self._bridged] = self._crossing.distance_derivatives()
        return out

    def speed_derivatives(self) -> Array:
        out = self._flow.speed_derivatives()
        if self._crossing is not None:
            out[self._bridged] = self._crossing.speed_derivatives()
        return out


@dataclass(frozen=True)
class Trace:
    """A law followed from launch to rest. The last piece is no bridge: the car coasts."""

    pieces: tuple[Piece | Bridge, ...]
    changepoint_s: tuple[float, ...]  # inf if never reached
    changepoint_speed: tuple[float, ...]  # just before; 0 if never reached
    speed_after: tuple[float, ...]  # just after; 0 if never reached
    stop_s: float
    stop_m: float

    @cached_property
    def table(self) -> Array:
        """(pieces, 6) each piece's numbers, first the time, distance and speed at its begin."""
        return np.array([_numbers(piece) for piece in self.pieces])

    @cached_property
    def _columns(self) -> Array:
        return np.ascontiguousarray(self.table.T)

    @cached_property
    def _bridges(self) -> NDArray[np.bool_]:
        return np.array([isinstance(piece, Bridge) for piece in self.pieces])

    def instants(self, time_s: Array) -> Instants:
        """The motion at these times (n,); still before the launch and after the stop."""
        which = np.maximum(np.searchsorted(self.table[:, 0], time_s, side="right") - 1, 0)
        start, place, *numbers = self._columns[:, which]
        since = np.clip(time_s, start, self.stop_s) - start
        bridged = self._bridges[which]
        flow = Flow.of(since, *numbers)
        distance, speed, acceleration = place + flow.reach_m, flow.speed, flow.acceleration
        crossing = None
        if bridged.any():
            crossing = Crossing(since[bridged], self.table[which[bridged]])
        if crossing is not None:
            distance[bridged], speed[bridged] = crossing.distance_m, crossing.speed
            acceleration[bridged] = crossing.acceleration
        return Instants(which, distance, speed, acceleration, flow, crossing, bridged)

    def at(self, time_s: Array) -> tuple[Array, Array]:
        """Distance from the launch and speed at times; (n,) each."""
        there = self.instants(time_s)
        return there.distance_m, there.speed

    def stretch_at(self, time_s: Array) -> tuple[NDArray[np.intp], Array]:
        """Which stretch of the law each time is in, and the acceleration there, (n,) each."""
        stretch = np.searchsorted(np.array(self.changepoint_s), time_s, side="right")
        return stretch, self.instants(time_s).acceleration


def _numbers(piece: Piece | Bridge) -> tuple[float, ...]:
    if isinstance(piece, Piece):
        return piece.time_s, piece.distance_m, piece.speed, piece.a, piece.b, piece.f
    begin = piece.time_s, piece.distance_m, piece.speed
    return *begin, piece.took_s, piece.end_m, piece.end_speed
