"""The law of a run in a few numbers: stretches of steady pull between changepoints.

On a stretch the speed obeys

    dv/dt = a + grade(d) - f v - b v^2,

with d the distance from the launch. The number a is the drive less the resistance on the flat. The
air gives b, which is 1/2 rho C_d A over the mass. A drag that is linear in the speed gives f. While
the string pulls, its share of the mass makes grade, f and b smaller by Mc/(Mc + mu rho^2). piece.py
has the closed forms.

At the change to a smaller tier the string catches the weight (see masses.py), and the speed jumps.
On a tapered tier a is that of its begin (see taper.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from unspool.reading.events.masses import GradeAcceleration, Masses
from unspool.reading.events.piece import Piece
from unspool.reading.events.taper import Bridge, Taper
from unspool.reading.events.trace import Trace

LEAST_DRAG_PER_M = 1e-5  # keeps the closed forms free of a special case; far below any air


@dataclass(frozen=True)
class PiecewiseLaw:
    """changepoint_m: (k,) rising distances; acceleration: (k + 1,), the last the coast's.

    A run from rest has a launch_speed of 0; if its start was not seen, that is free. The law begins
    at distance begin_m, above 0 if a slipping wheel came before. At changepoint number
    brake_changepoint, if any, the car loses brake_speed at once: a string that does not let go.

    The string passes on the share `catch` of the ideal impulse. The weight's pull is `drive` times
    what the masses say. A stretch's taper is the lever at its end over that at its begin. All of
    them are in `taper`, (k + 1,), which is empty if all are 1.
    """

    launch_s: float
    launch_speed: float
    changepoint_m: tuple[float, ...]
    acceleration: tuple[float, ...]
    drag_per_m: float
    begin_m: float = 0.0
    brake_changepoint: int | None = None
    brake_speed: float = 0.0
    linear_per_s: float = 0.0
    catch: float = 1.0
    drive: float = 1.0
    taper: tuple[float, ...] = ()

    @property
    def placed(self) -> bool:
        """Whether distances count from the launch, so that the winding's places can be compared."""
        return self.launch_speed == 0.0 or self.begin_m > 0.0

    def taper_of(self, stretch: int) -> float:
        return self.taper[stretch] if self.taper else 1.0


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the way under one slope; levers at its begin and its end differ on a taper."""

    begin_m: float
    end_m: float
    stretch: int
    slope: float
    levers: tuple[float, float]
    is_changepoint: bool


def follow_law(law: PiecewiseLaw, grade: GradeAcceleration, masses: Masses) -> Trace:
    """Follow a law from its launch until it rests, or without end if it never does."""
    masses = masses.driven(law.drive)
    levers = [masses.lever(a, law.acceleration[-1]) for a in law.acceleration]
    time_s, speed = law.launch_s, law.launch_speed
    pieces: list[Piece | Bridge] = []
    k = len(law.changepoint_m)
    passed_s, passed_speed, after = [inf] * k, [0.0] * k, [0.0] * k
    for part in parts_of(law, grade, levers):
        took, reached = _followed(pieces, law, part, masses, time_s, speed)
        if took == inf:
            break
        time_s, speed = time_s + took, reached
        if part.is_changepoint:
            i = part.stretch
            passed_s[i], passed_speed[i] = time_s, speed
            speed = masses.after_catch(speed, part.levers[1], levers[i + 1], law.catch)
            if i == law.brake_changepoint:
                speed = max(speed - law.brake_speed, 0.0)
            after[i] = speed
    stop_s, stop_m = _rest(pieces[-1])
    return Trace(tuple(pieces), tuple(passed_s), tuple(passed_speed), tuple(after), stop_s, stop_m)


def _followed(
    pieces: list[Piece | Bridge],
    law: PiecewiseLaw,
    part: Part,
    masses: Masses,
    time_s: float,
    speed: float,
) -> tuple[float, float]:
    """Adds the part; returns the time to its end and the speed there, (inf, 0) if never."""
    drag = max(law.drag_per_m, LEAST_DRAG_PER_M)
    lever, last = part.levers
    if lever != last:
        coast = law.acceleration[-1] + part.slope
        per_m = (last - lever) / (part.end_m - part.begin_m)
        taper = Taper(part.begin_m, lever, per_m, masses, coast, drag, law.linear_per_s)
        bridges = taper.bridges(time_s, speed, part.end_m)
        if bridges:
            pieces += bridges
            return bridges[-1].time_s + bridges[-1].took_s - time_s, bridges[-1].end_speed
    share = masses.free_share(lever)
    pull = law.acceleration[part.stretch] + share * part.slope
    piece = Piece(time_s, part.begin_m, speed, pull, share * drag, share * law.linear_per_s)
    pieces.append(piece)
    return piece.time_to(part.end_m) if part.end_m < inf and lever == last else (inf, 0.0)


def _rest(last: Piece | Bridge) -> tuple[float, float]:
    assert isinstance(last, Piece)
    after = last.rest_after_s()
    return (last.time_s + after, last.rest_m()) if after < inf else (inf, inf)


def parts_of(law: PiecewiseLaw, grade: GradeAcceleration, levers: list[float]) -> Iterator[Part]:
    """The stretches, cut where the floor's slope changes."""
    begin, last = law.begin_m, len(law.changepoint_m)
    for stretch in range(last + 1):
        end = inf if stretch == last else law.changepoint_m[stretch]
        first, taper = levers[stretch], law.taper_of(stretch)
        per_m = (taper - 1.0) * first / (end - begin) if taper != 1.0 else 0.0
        i, at = grade.piece_at(begin), begin
        while True:
            upto = grade.from_m[i + 1] if i + 1 < len(grade.from_m) else inf
            to, done = min(upto, end), upto >= end
            span = (first + per_m * (at - begin), first + per_m * (to - begin)) if per_m else None
            yield Part(
                at, to, stretch, grade.acceleration[i], span or (first, first),
                done and stretch < last,
            )  # fmt: skip
            if done:
                break
            at, i = to, i + 1
        begin = end
