"""The runs to be read: those of car_cases.py, and every fault of a sensor and of a builder."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from corpus import car_cases
from corpus.asked import Run, run
from corpus.cars import Table, changed, drawn, rough_way_m, scaled, tapered, track, turned, wound_to

Runs = Iterator[tuple[str, Run]]


def all_runs() -> dict[str, Run]:
    """Every run by its name, `group/number` and what is odd about it."""
    groups = {
        "plain": car_cases.plain(),
        "perfect": car_cases.perfect(),
        "pulses": _pulses(),
        "slots": _slots(),
        "stamps": _stamps(),
        "missing": _missing(),
        "chatter": _chatter(),
        "handled": _handled(),
        "car": car_cases.cars(),
        "taper": car_cases.tapers(),
        "release": _releases(),
        "held": _held(),
        "slip": _slips(),
        "sway": _sways(),
        "rise": car_cases.rises(),
        "dip": car_cases.dips(),
        "floor": car_cases.floors(),
        "cut": _cut(),
        "still": _still(),
        "miswound": _miswound(),
        "miscounted": _miscounted(),
        "string": car_cases.strings(),
        "pushed": _pushed(),
        "mixed": _mixed(),
    }
    return {f"{group}/{name}": one for group, runs in groups.items() for name, one in runs}


def _pulses() -> Runs:
    for pulses in (2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 30, 36, 40):
        for axle in ("rear", "front"):
            car = changed(
                drawn((3, pulses), 1 + pulses % 3),
                encoder__pulses_per_turn=pulses,
                encoder__axle=axle,
            )
            yield f"{pulses:02}_{axle}", run(car, pulses)


def _slots() -> Runs:
    for i, sd in enumerate((0.0, 0.01, 0.04, 0.08)):
        for duty in (0.0, 0.1, 0.3):
            yield f"sd_{sd}_duty_{duty}", run(drawn((4, i)), i, spoil={"slot_sd": sd, "duty": duty})
    for i, out in enumerate((0.003, 0.01, 0.03)):
        yield f"out_of_round_{out}", run(drawn((5, i), 2), i, spoil={"out_of_round": out})


def _stamps() -> Runs:
    for i, jitter in enumerate((0.0, 5e-6, 2e-4, 1e-3, 3e-3)):
        yield f"jitter_{jitter}", run(drawn((6, i)), i, spoil={"jitter_s": jitter})
    for i, tick in enumerate((0.0, 4e-6, 1e-4, 1e-3)):
        yield f"tick_{tick}", run(drawn((7, i)), i, spoil={"tick_s": tick})
    for i, error in enumerate((-0.02, 0.02)):
        yield f"clock_{error}", run(drawn((8, i)), i, spoil={"clock_error": error})
    yield "millisecond", run(drawn((8, 2)), 2, changes=(("rounded", 1e-3),))
    yield "centisecond", run(drawn((8, 3)), 3, changes=(("rounded", 1e-2),))
    yield "epoch", run(drawn((8, 4)), 4, changes=(("later", 1.7e9),))
    yield "before_zero", run(drawn((8, 5)), 5, changes=(("later", -50.0),))


def _missing() -> Runs:
    for i, share in enumerate((0.01, 0.03, 0.1, 0.2)):
        yield f"missed_{share}", run(drawn((9, i)), i, spoil={"missed": share})
        yield f"lost_{share}", run(drawn((9, i + 10)), i, spoil={"lost": share})
    for i in range(6):
        both = {"missed": 0.02, "lost": 0.05}
        yield f"both_{i}", run(drawn((9, i + 20)), i, spoil=both)
    for i in range(3):
        lost, cut = {"lost": 0.05}, (("unnumbered", 0.0),)
        yield f"unnumbered_{i}", run(drawn((9, i + 30)), i, spoil=lost, changes=cut)


def _chatter() -> Runs:
    for i, edges in enumerate((1, 2, 5, 12, 40, 80)):
        yield f"stop_{edges:02}", run(drawn((10, i)), i, spoil={"chatter": edges})
    for i, share in enumerate((0.01, 0.05, 0.2, 0.5)):
        yield f"bounced_{share}", run(drawn((11, i)), i, changes=(("bounced", share),))


def _handled() -> Runs:
    for i, edges in enumerate((2, 4, 8, 20, 40)):
        yield f"before_{edges:02}", run(drawn((12, i)), i, spoil={"handled": edges})
    for i in range(6):
        yield f"wound_{i}", run(drawn((13, i)), i, wound=True)
    for i in range(3):
        yield f"carried_{i}", run(drawn((14, i)), i, changes=(("carried", 20.0 + 40 * i),))
    for i in range(2):
        carried = (("carried", 60.0),)
        yield f"wound_and_carried_{i}", run(drawn((15, i)), i, wound=True, changes=carried)
    for i in range(3):
        untold = (("one_way", 0.0),)
        yield f"wound_no_direction_{i}", run(drawn((15, 9 + i)), i, wound=True, changes=untold)


def _releases() -> Runs:
    for i, left in enumerate((0.005, 0.01, 0.02, 0.04, 0.08, 0.15)):
        yield f"early_{left}", run(drawn((27, i)), i, spoil={"early_release_m": left})
    for i in range(4):
        yield (
            f"early_short_{i}",
            run(wound_to(drawn((28, i)), 0.9), i, spoil={"early_release_m": 0.03}),
        )


def _held() -> Runs:
    for i, way in enumerate((0.01, 0.03, 0.1, 0.3)):
        for share in (0.97, 0.8):
            car = wound_to(drawn((29, i), 1 + i % 3), share)
            yield f"{way}_{share}", run(car, i, spoil={"held_m": way})


def _slips() -> Runs:
    for i, (time, grip) in enumerate(
        ((0.05, 0.6), (0.1, 0.6), (0.2, 0.2), (0.3, 0.4), (0.4, 0.3), (0.5, 0.7))
    ):
        for axle in ("rear", "front"):
            car = changed(drawn((30, i)), encoder__axle=axle)
            yield f"{time}_{axle}", run(car, i, spoil={"slip_s": time, "slip_grip": grip})


def _sways() -> Runs:
    for i, size in enumerate((0.05, 0.2, 0.5, 1.0)):
        spoil = {"sway_m_s2": size, "sway_hz": 2.0 + i}
        yield f"tower_{size}", run(drawn((31, i)), i, spoil=spoil)
    for i, angle in enumerate((0.05, 0.15, 0.3)):
        spoil = {"swing_rad": angle, "swing_string_m": 0.1 + 0.1 * i}
        yield f"weight_{angle}", run(drawn((32, i)), i, spoil=spoil)


def _cut() -> Runs:
    for i, share in enumerate((0.02, 0.1, 0.2, 0.4, 0.6, 0.8, 0.95)):
        yield f"end_{share}", run(drawn((37, i)), i, changes=(("keep", share),))
    for i, share in enumerate((0.01, 0.05, 0.2, 0.5, 0.8)):
        yield f"begin_{share}", run(drawn((38, i)), i, changes=(("drop", share),))
    for i in range(3):
        yield f"both_{i}", run(drawn((39, i)), i, changes=(("drop", 0.1), ("keep", 0.8)))
    for count in (3, 6, 9, 12, 20):
        yield f"first_{count:02}", run(drawn((40, count)), count, changes=(("first", count),))


def _still() -> Runs:
    car = drawn((41, 0))
    heavy = scaled(drawn((41, 1)), 0.1, "weight__mass_g")
    yield "too_light", run(heavy, 1)
    yield "too_light_handled", run(heavy, 2, spoil={"handled": 10.0})
    steep = track((0.0, 0.0), (10.0, 3000.0))
    yield "too_steep", run(car, 3, track=steep, spoil={"handled": 4.0})
    yield "none", run(car, edges=())
    yield "one", run(car, edges=((1.0, 1),))
    yield "to_and_fro", run(car, edges=((1.0, 1), (1.2, -1)))
    yield "nudge", run(car, edges=((1.0, 1), (2.0, 1), (3.0, 1)))
    yield "backward", run(car, edges=tuple((0.1 * i, -1) for i in range(1, 40)))
    for i in range(2):
        yield f"swapped_{i}", run(drawn((42, i)), i, changes=(("swapped", 0.0),))


def _miswound() -> Runs:
    for i, share in enumerate((0.7, 0.9, 0.97, 1.03, 1.1)):
        car = drawn((43, i), 1 + i % 3)
        yield f"all_{share}", run(car, i, said=turned(car, share))
    for i, share in enumerate((0.8, 1.2)):
        car = drawn((44, i), 2)
        yield f"first_{share}", run(car, i, said=turned(car, share, 1.0))
        yield f"last_{share}", run(car, i, said=turned(car, 1.0, share))
    for i in range(3):
        car = drawn((45, i), 2)
        turns = tuple(tier["turns"] * (0.6 + 0.2 * i) for tier in car["drum"])
        yield f"counted_{i}", run(_with_turns(car, turns), i, said=car, winding=turns)
    car = drawn((45, 8), 2)
    one, two = (tier["turns"] for tier in car["drum"])
    yield "one_tier_counted", run(car, 8, winding=(one + 0.5, 0.0))
    yield "bad_count", run(car, 8, winding=(one, two, 1.0))


def _with_turns(car: Table, turns: tuple[float, ...]) -> Table:
    for k, count in enumerate(turns):
        car = changed(car, **{f"drum__{k}__turns": count})
    return car


def _miscounted() -> Runs:
    """Another number of edges a turn in the car file than the disc has."""
    for i, said in enumerate((40, 10, 21, 18, 19, 22)):
        for sd in (0.0, 0.02):
            car = changed(drawn((46, i)), encoder__pulses_per_turn=20)
            wrong = changed(car, encoder__pulses_per_turn=said)
            yield f"{said}_{sd}", run(car, i, said=wrong, spoil={"slot_sd": sd})
    for i, share in enumerate((0.95, 1.05)):
        car = drawn((47, i))
        wheels = ("wheels__0__diameter_mm", "wheels__1__diameter_mm")
        yield f"wheel_{share}", run(car, i, said=scaled(car, share, *wheels))


def _pushed() -> Runs:
    car = drawn((50, 0))
    yield "once", run(car, pushed=((0.0, 0.4),))
    yield "twice", run(car, pushed=((0.0, 0.4), (2.0, 2.3)))
    yield "late", run(car, pushed=((5.0, 5.6),))
    yield "no_drive_said", run(car, pushed=((0.0, 1.0),), track=track((0.0, 0.0)))


def _mixed() -> Runs:
    """Several faults at once, each present in about a third of the runs."""
    for i in range(48):
        rng = np.random.default_rng((51, i))
        car = drawn((51, i, 1))
        car = changed(car, encoder__pulses_per_turn=int(rng.choice([4, 8, 10, 15, 20, 32, 40])))
        if rng.random() < 0.3:
            car = tapered(car, float(rng.uniform(0.6, 0.95)))
        likely = {
            "slot_sd": rng.uniform(0.0, 0.05),
            "duty": rng.uniform(0.0, 0.2),
            "out_of_round": rng.uniform(0.0, 0.01),
            "jitter_s": rng.uniform(0.0, 5e-4),
            "missed": rng.uniform(0.0, 0.03),
            "lost": rng.uniform(0.0, 0.03),
            "chatter": float(rng.integers(1, 20)),
            "handled": float(rng.integers(1, 20)),
            "early_release_m": rng.uniform(0.0, 0.08),
            "held_m": rng.uniform(0.0, 0.1),
            "slip_s": rng.uniform(0.0, 0.3),
            "sway_m_s2": rng.uniform(0.0, 0.3),
        }
        spoil = {name: float(value) for name, value in likely.items() if rng.random() < 0.33}
        floor = _mixed_floor(car, rng)
        said = turned(car, float(rng.uniform(0.9, 1.1))) if rng.random() < 0.2 else car
        changes = (("one_way", 0.0),) if rng.random() < 0.3 else ()
        wound = rng.random() < 0.25
        yield (
            f"{i:02}",
            run(car, i, said=said, track=floor, spoil=spoil, changes=changes, wound=bool(wound)),
        )


def _mixed_floor(car: Table, rng: np.random.Generator) -> Table | None:
    if rng.random() < 0.6:
        return None
    far = rough_way_m(car)
    places = np.r_[
        0.0, np.sort(rng.choice(np.arange(1.0, 9.0), 4, replace=False)) * far / 9.0, far + 60.0
    ]
    heights = np.cumsum(np.r_[0.0, rng.normal(0.0, 15.0, 4), 60.0 * rng.uniform(-1.0, 20.0)])
    return track(*zip(places.tolist(), heights.tolist(), strict=True))
