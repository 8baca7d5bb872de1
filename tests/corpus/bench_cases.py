"""What is asked at the bench and at the tape: cards, roll-outs, coasts, ramps, sensor checks."""

from __future__ import annotations

from collections.abc import Iterator

from corpus.asked import CORRIDOR, DUNLIN, SANDPIPER, Asked, Card, Checked, Coasts, Ramp, RolledOut
from corpus.cars import changed, drawn
from corpus.days import days, repeats

Cases = Iterator[tuple[str, Asked]]


def rollouts() -> Cases:
    def of(hands: list[dict[str, float]], car: str = SANDPIPER, **more: float) -> RolledOut:
        pushes = tuple((tuple(sorted(hand.items())), i) for i, hand in enumerate(hands))
        return RolledOut(car, pushes, **more)

    yield "agrees", of([{}] * 3)
    yield "one", of([{}])
    yield "other_wheel", of([{"circumference_m": 0.402}] * 3)
    yield "miscounted", of([{"edges": 18}] * 3)
    yield "missed", of([{"missed": 0.02}] * 4)
    yield "slid", of([{}, {}, {"slid_m": 0.3}, {}])
    yield "toothed", of([{"tooth": 0.35, "slot_sd": 0.04}] * 3)
    yield "long", of([{"length_m": 12.0}] * 2, length_m=12.0, tape_sd_m=0.005)
    yield "disagreeing", of([{"circumference_m": c} for c in (0.37, 0.388, 0.41)])
    yield "too_short", of([{"length_m": 0.05}], length_m=0.05)


def coasts() -> Cases:
    for i, linear in enumerate((0.0, 0.03, 0.08)):
        car = changed(drawn((73, i), 1 + i % 2), losses__linear_drag_n_s_per_m=linear)
        yield f"linear_{linear}", Coasts(repeats(car))
    yield "few", Coasts(days(drawn((73, 5)), (1.0, 0.7, 0.5)))


def ramps() -> Cases:
    yield "one", Ramp(((0.05, 1.0, 3.2),))
    yield "three", Ramp(((0.03, 1.0, 1.6), (0.05, 1.0, 3.3), (0.08, 1.0, 5.9)))
    yield "repeats", Ramp(((0.05, 1.0, 3.2), (0.05, 1.0, 3.3), (0.05, 1.0, 3.1)))
    yield "offset", Ramp(((0.03, 1.0, 4.0), (0.05, 1.0, 4.3), (0.08, 1.0, 4.8)))


def sensors() -> Cases:
    def of(expected: int | None = 20, turns: float | None = None, **bench: float) -> Checked:
        return Checked(tuple(sorted(bench.items())), expected, turns)

    yield "right", of()
    yield "turns_counted", of(turns=6.0)
    yield "other_count", of(expected=24, turns=6.0)
    yield "b_off", of(b_lag=0.1)
    yield "swapped", of(b_lag=0.75)
    yield "narrow", of(high=0.25)
    yield "bounces", of(bounces=1)
    yield "spikes", of(spikes=9)
    yield "a_dead", of(a_dead=1)
    yield "b_dead", of(b_dead=1)
    yield "closed_slot", of(closed=3)
    yield "nothing_said", of(expected=None, turns=None, way=-1, slots=12)


def cards() -> Cases:
    yield "sandpiper", Card(SANDPIPER, CORRIDOR)
    yield "dunlin", Card(DUNLIN, CORRIDOR)
    yield "turns", Card(SANDPIPER, "", (2.0, 6.5))
    yield "skipped", Card(DUNLIN, "", (0.0, 3.5, 6.0))
    yield "refused", Card(DUNLIN, "", (1.0,))
