"""How often a wrong winding or a bad release is found, on cars whose files know no losses.

Runs whose weight lands first are left out: the string that is still on the drum then moves nothing.
UNSPOOL_BENCH_FAULTS sets how many cars each fault is tried on.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from bench.figures import Figure
from bench.slipped import slipped
from bench.worlds import hidden
from unspool.car import Car
from unspool.reading.events import analyse
from unspool.virtual.truth import USUAL, random_car, run

RUNS = int(os.environ.get("UNSPOOL_BENCH_FAULTS", "30"))
STRING_M = 0.02  # let go early or late
HALF_A_TURN = 0.5
HELD_M = 0.012
SLIP_SHARE = 0.03

Rng = np.random.Generator
Change = Callable[[Car, Rng], Car | None]


def _swapped(car: Car, rng: Rng) -> Car | None:
    if len(car.drum) < 2:
        return None
    drum, i = list(car.drum), int(rng.integers(len(car.drum) - 1))
    drum[i], drum[i + 1] = drum[i + 1], drum[i]
    return replace(car, drum=tuple(drum))


def _with_turns(car: Car, tier: int, more: float) -> Car | None:
    turns = [one.turns for one in car.drum]
    turns[tier] += more
    return car.wound(tuple(turns)) if turns[tier] > 0.2 else None


def _more(car: Car, rng: Rng) -> Car | None:
    return _with_turns(car, int(rng.integers(len(car.drum))), HALF_A_TURN)


def _fewer(car: Car, rng: Rng) -> Car | None:
    return _with_turns(car, int(rng.integers(len(car.drum))), -HALF_A_TURN)


def _longer(car: Car, rng: Rng) -> Car | None:
    return _with_turns(car, -1, STRING_M / (2.0 * np.pi * car.drum[-1].radius_m))


def _same(car: Car, rng: Rng) -> Car | None:
    return car


WINDING = ("winding_differs", "released_late", "early_release")
FAULTS: dict[str, tuple[Change, dict[str, float], tuple[str, ...]]] = {
    "wrong_order": (_swapped, {}, ("tiers_in_wrong_order",)),
    "half_a_turn_more": (_more, {}, WINDING),
    "half_a_turn_fewer": (_fewer, {}, WINDING),
    "released_late": (_longer, {}, ("released_late",)),
    "released_early": (_same, {"early_release_m": STRING_M}, ("early_release",)),
    "string_held": (_same, {"held_m": HELD_M}, ("string_held",)),
}


def figures() -> Iterable[Figure]:
    for name in FAULTS:
        found = [one for seed in range(RUNS) if (one := _found(name, seed)) is not None]
        yield Figure(f"faults_{name}_found", 100.0 * float(np.mean(found)), "%")
    for axle in ("driven", "free"):
        codes = [
            one for seed in range(RUNS) if (one := _of_slip(axle == "driven", seed)) is not None
        ]
        named = np.mean(["slipping" in one for one in codes])
        yield Figure(f"faults_slip_seen_by_{axle}_axle_named", 100.0 * float(named), "%")
        or_else = np.mean([bool(one) for one in codes])
        yield Figure(f"faults_slip_seen_by_{axle}_axle_found", 100.0 * float(or_else), "%")


def _found(name: str, seed: int) -> bool | None:
    """Whether a fault is found; None if this car cannot have it, or cannot show it."""
    change, spoilt, codes = FAULTS[name]
    rng = np.random.default_rng([list(FAULTS).index(name), 12, seed])
    car = _wound_short(rng)
    true = change(car, rng)
    if true is None:
        return None
    truth = run(true, imperfections=replace(USUAL, clock_error=0.0, **spoilt), seed=seed)
    kinds = {event.kind for event in truth.events}
    if "release" not in kinds or "landing" in kinds:
        return None
    reading = analyse(truth.train, hidden(car))
    return any(
        str(one.code) in codes and one.values.get("early_m", 0.0) is not None
        for one in reading.findings
    )


def _wound_short(rng: Rng) -> Car:
    """Wound to nine tenths of the drop, so that the string lets go before the weight lands."""
    car = random_car(rng)
    part = 0.9 * car.drop_m / car.wound_string_m
    return car.wound(tuple(part * tier.turns for tier in car.drum))


def _of_slip(driven: bool, seed: int) -> set[str] | None:
    """The codes of findings that say a slip, alone or as one of two causes."""
    car = _wound_short(np.random.default_rng([31, int(driven), seed]))
    made = slipped(car, driven, SLIP_SHARE, seed)
    if made is None:
        return None
    wound, train = made
    return {
        str(one.code)
        for one in analyse(train, hidden(wound)).findings
        if one.code == "slipping" or one.values.get("slip_share") is not None
    }
