"""What was measured of the sensors, in the words of whoever mounted them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from unspool.instrument.sensors.closed_slot import long_gap
from unspool.instrument.sensors.shape import Phase
from unspool.instrument.sensors.waves import Wave

FEWEST_EDGES = 8  # of a sensor, before anything is said of how it switches
RIGHT_DEG = (60.0, 120.0)  # B's distance from A
USABLE_DEG = (35.0, 145.0)
EVEN_SHARE = (0.4, 0.6)
USABLE_SHARE = (0.3, 0.7)  # at a quarter B switches together with A wherever it sits
ONE_WAY = 0.9  # share of the switchings in one direction of a wheel that was turned one way
CHATTER = 0.02  # bounces for each switching
TURN_SLIP = 1  # edges by which a turn made by hand may end off its mark
MISSING = 0.6  # a sensor that switches this much less than the other misses slots


class Grade(StrEnum):
    GOOD = "good"
    NOTE = "note"
    FAULT = "fault"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Remark:
    """`code` names what was looked at."""

    code: str
    grade: Grade
    text: str


@dataclass(frozen=True)
class Seen:
    """What was measured, and what the builder said of it."""

    a: Wave
    b: Wave
    phase: Phase | None
    high_a: float | None
    high_b: float | None
    pulses: int
    lost: int
    per_turn: int | None
    turns: float | None
    expected: int | None


def remarks(seen: Seen) -> Iterator[Remark]:
    a, b = seen.a.count, seen.b.count
    if max(a, b) < FEWEST_EDGES:
        yield Remark("movement", Grade.UNKNOWN, _still(seen))
        return
    yield _alive("A", seen.a, b)
    yield _alive("B", seen.b, a)
    if min(a, b) >= FEWEST_EDGES:
        yield from _together(seen)
    yield from _shares(seen)
    if a >= FEWEST_EDGES:
        yield _slots(seen)
    yield from _closed_slot(seen)
    yield from _disturbed(seen)


def _still(seen: Seen) -> str:
    if seen.a.count or seen.b.count:
        return (
            f"the wheel hardly turned: sensor A switched {seen.a.count} times and B {seen.b.count};"
            " turn it through five turns"
        )
    shows = f"sensor A reads {_level(seen.a)} and B {_level(seen.b)} all the time"
    return (
        f"the wheel did not turn, or neither sensor sees the disc: {shows}; turn the wheel slowly"
        " through five turns, and check that both sensors have power and the disc runs between them"
    )


def _level(one: Wave) -> str:
    return "high" if one.resting else "low"


def _alive(name: str, one: Wave, other: int) -> Remark:
    code = f"sensor_{name.lower()}"
    if one.count == 0:
        return Remark(
            code,
            Grade.FAULT,
            f"sensor {name} sees no slot, it reads {_level(one)} all the time, while the other sees"
            f" the disc pass: check its plug, its wires and that the slots pass in front of it",
        )
    if one.count < MISSING * other:
        return Remark(
            code,
            Grade.FAULT,
            f"sensor {name} misses slots, it switched {one.count} times against {other} of the"
            " other: set it closer to the disc, or shade it",
        )
    return Remark(code, Grade.GOOD, f"sensor {name} sees the slots: it switched {one.count} times")


def _together(seen: Seen) -> Iterator[Remark]:
    if seen.phase is None:
        text = "the wheel turned too unevenly to tell how B lies to A: turn it smoothly"
        yield Remark("phase", Grade.UNKNOWN, text)
        return
    offset = seen.phase.offset_deg
    if USABLE_DEG[0] <= offset <= USABLE_DEG[1]:
        right = RIGHT_DEG[0] <= offset <= RIGHT_DEG[1]
        grade, text = (Grade.GOOD, "") if right else (Grade.NOTE, f"; {_move(offset)}")
        yield Remark("phase", grade, f"B switches {_pitch(offset)} from A, 0.25 is best{text}")
        yield _direction(seen.phase.forward)
        return
    near = "together with A" if offset < 90 else "opposite to A"
    yield Remark(
        "phase",
        Grade.FAULT,
        f"B switches almost {near}, {_pitch(offset)} off in place of 0.25, so the board cannot tell"
        f" which way the wheel turns: {_move(offset)}",
    )


def _pitch(degrees: float) -> str:
    return f"{degrees / 360.0:.2f} of a slot pitch"


def _move(offset: float) -> str:
    return f"move sensor B along the rim by {_pitch(abs(90.0 - offset))}"


def _direction(forward: float) -> Remark:
    if forward >= ONE_WAY:
        return Remark("direction", Grade.GOOD, "the wheel turned forward all along")
    if forward <= 1.0 - ONE_WAY:
        return Remark(
            "direction",
            Grade.FAULT,
            "the wheel turned backward all along: if you turned it the way the car runs, change the"
            " two sensors' wires for each other",
        )
    share = round(100 * forward)
    return Remark(
        "direction",
        Grade.NOTE,
        f"the wheel turned both ways, {share} % of it forward; if you turned it one way only, the"
        " sensors sit loose, or slots and webs are too unlike",
    )


def _shares(seen: Seen) -> Iterator[Remark]:
    for name, share in (("A", seen.high_a), ("B", seen.high_b)):
        if share is None:
            continue
        code = f"duty_{name.lower()}"
        said = f"sensor {name} reads high for {round(100 * share)} % of a slot pitch"
        if EVEN_SHARE[0] <= share <= EVEN_SHARE[1]:
            yield Remark(code, Grade.GOOD, said)
            continue
        usable = USABLE_SHARE[0] <= share <= USABLE_SHARE[1]
        yield Remark(
            code,
            Grade.NOTE if usable else Grade.FAULT,
            f"{said}, half is best: cut slots and webs alike, set the sensor square to the disc, or"
            " turn its trimmer where it has one",
        )


def _slots(seen: Seen) -> Remark:
    per_turn, expected = seen.per_turn, seen.expected
    if per_turn is None:
        return Remark(
            "slots",
            Grade.UNKNOWN,
            "how many edges a turn has cannot be told: spin the wheel and let it run for five"
            " turns, or turn it exactly ten turns from mark to mark and add --turns 10",
        )
    slip = TURN_SLIP / seen.turns if seen.turns else 0.0
    if expected is None:
        return Remark("slots", Grade.GOOD, f"a turn has {per_turn} edges")
    if abs(per_turn - expected) <= slip:
        return Remark("slots", Grade.GOOD, f"a turn has {expected} edges, as it should")
    return Remark(
        "slots",
        Grade.FAULT,
        f"a turn has {per_turn} edges where {expected} are expected: check the disc's slots, and"
        " pulses_per_turn under [encoder] in the car file",
    )


def _closed_slot(seen: Seen) -> Iterator[Remark]:
    for name, one in (("A", seen.a), ("B", seen.b)):
        every = long_gap(one.time_s)
        if every is not None:
            yield Remark(
                "blocked_slot",
                Grade.FAULT,
                f"once in {every} edges sensor {name} sees a gap as long as three: one slot is"
                f" closed, or a web is broken out, and a whole disc would give {every + 2}",
            )
            return


def _disturbed(seen: Seen) -> Iterator[Remark]:
    for name, one in (("A", seen.a), ("B", seen.b)):
        if one.bounces > CHATTER * one.count:
            yield Remark(
                "chatter",
                Grade.FAULT,
                f"sensor {name} chatters, it switched to and fro {one.bounces} times at"
                f" {one.count} edges: keep stray light off it, and set it square and close to the"
                " disc",
            )
    if seen.pulses:
        yield Remark(
            "noise",
            Grade.FAULT if seen.pulses > CHATTER * seen.a.count else Grade.NOTE,
            f"{seen.pulses} short pulses came where no slot passed: keep the sensor wires short and"
            " away from the battery's, and check their ground",
        )
    if seen.lost:
        yield Remark(
            "lost",
            Grade.NOTE,
            f"{seen.lost} changes came too fast to be looked at",
        )
