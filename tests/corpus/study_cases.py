"""What is asked beside readings: calibrations, predictions, plans, comparisons, roll-outs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from corpus import bench_cases
from corpus.asked import (
    CORRIDOR,
    DUNLIN,
    SANDPIPER,
    Asked,
    Calibrated,
    Compared,
    Floor,
    Learnt,
    Planned,
    Rests,
    Run,
    run,
)
from corpus.cars import (
    Table,
    changed,
    drawn,
    scaled,
    tapered,
    toml_text,
    track,
    turned,
    without_losses,
)
from corpus.days import days, measured, repeats

Cases = Iterator[tuple[str, Asked]]


def study_cases() -> dict[str, Asked]:
    """Everything by its name; the part before the first slash is the class."""
    classes = {
        "calibration": _calibrations(),
        "learnt": _learnt(),
        "slope": _slopes(),
        "break_away": _break_aways(),
        "plan": _plans(),
        "card": bench_cases.cards(),
        "comparison": _comparisons(),
        "rollout": bench_cases.rollouts(),
        "coasts": bench_cases.coasts(),
        "ramp": bench_cases.ramps(),
        "sensors": bench_cases.sensors(),
    }
    return {f"{kind}/{name}": one for kind, cases in classes.items() for name, one in cases}


def _calibrations() -> Cases:
    for i in range(8):
        car = drawn((60, i), 1 + i % 3)
        yield f"three_{i}", Calibrated(days(car, (1.0, 0.8, 1.0), 0.005 * (i % 3)))
    for i in range(4):
        light = changed(drawn((61, i)), losses__constant_drag_n=0.015)
        heavy = scaled(light, 2.0, "body__mass_g")
        runs = tuple(measured(one, k) for k, one in enumerate((light, heavy) * 2))
        yield f"two_masses_{i}", Calibrated(runs)
    sound = days(drawn((62, 0), 2), (1.0, 0.8, 1.0))
    yield "six", Calibrated(days(drawn((62, 1), 2), (1.0, 0.9, 0.8, 0.7, 1.0, 0.6)))
    yield "one", Calibrated(sound[:1])
    yield "two", Calibrated(sound[1:])
    yield from _spoilt_calibrations(sound)
    yield from _floor_calibrations()
    taper = tapered(drawn((64, 0), 2), 0.8)
    yield "taper", Calibrated(days(taper, (1.0, 0.8, 1.0)))
    few = changed(drawn((64, 1), 2), encoder__pulses_per_turn=4)
    yield "few_pulses", Calibrated(days(few, (1.0, 0.8, 1.0)))
    said = changed(drawn((64, 2)), losses__drive_efficiency=None)
    yield "losses_said", Calibrated(tuple(run(drawn((64, 2)), i, said=said) for i in range(3)))
    linear = changed(drawn((64, 3), 2), losses__linear_drag_n_s_per_m=0.05)
    yield "growing_drag", Calibrated(repeats(linear))


def _spoilt_calibrations(sound: tuple[Run, ...]) -> Cases:
    car = drawn((62, 0), 2)
    for name, spoil in (
        ("held", {"held_m": 0.3}),
        ("early", {"early_release_m": 0.03}),
        ("slip", {"slip_s": 0.3}),
    ):
        yield f"one_{name}", Calibrated((*sound, measured(car, 9, spoil=spoil)))
    first, second, third = sound
    yield "cut_short", Calibrated((first, second, third.but(changes=(("keep", 0.7),))))
    yield "begun_late", Calibrated((first, second.but(changes=(("drop", 0.3),)), third))
    yield "few_edges", Calibrated((first, second, third.but(changes=(("first", 5),))))
    yield "no_edges", Calibrated((first.but(changes=(("first", 5),)),))
    miswound = third.but(said=toml_text(turned(without_losses(car), 1.2)))
    yield "miswound", Calibrated((first, second, miswound))
    turns = tuple(0.8 * tier["turns"] for tier in car["drum"])
    counted = second.but(said=toml_text(without_losses(car)), winding=turns)
    yield "counted", Calibrated((first, counted, third))


def _floor_calibrations() -> Cases:
    car = drawn((63, 0), 2)
    falls, level = track((0.0, 0.0), (40.0, -80.0)), track((0.0, 0.0))
    shares = (1.0, 0.8, 1.0)
    for name, floor in (("said", falls), ("unsaid", level)):
        runs = [
            measured(turned(car, x), i, track=falls, said_track=floor) for i, x in enumerate(shares)
        ]
        yield f"one_way_slope_{name}", Calibrated(tuple(runs))
    rise = track((0.0, 0.0), (3.0, 0.0), (60.0, 1200.0))
    yield "rolled_back", Calibrated(tuple(measured(car, i, track=rise) for i in range(3)))


def _learnt() -> Cases:
    for i in range(6):
        car = drawn((65, i), 1 + i % 3)
        runs, next_car = days(car, (1.0, 0.75, 1.0)), turned(without_losses(car), 0.88)
        if i == 4:
            next_car = tapered(next_car, 0.9)
        floor = toml_text(track((0.0, 0.0), (4.0, 0.0), (60.0, 300.0))) if i == 5 else ""
        yield f"{i}", Learnt(runs, toml_text(next_car), floor)


def _uneven(seed: int) -> tuple[np.ndarray, np.ndarray]:
    steps = np.random.default_rng(seed).normal(0.0, 4.0, 15)
    return np.linspace(0.0, 30.0, 16), np.cumsum(np.r_[0.0, steps])


def _slopes() -> Cases:
    for i in range(2):
        car, (places, heights) = drawn((66, i), 2), _uneven(i)
        flat = track((0.0, 0.0))
        there, back = (
            track(*zip(x.tolist(), h.tolist(), strict=True))
            for x, h in ((places, heights), ((12.0 - places)[::-1], heights[::-1]))
        )
        out = tuple(
            (measured(turned(car, share), k, track=there, said_track=flat), 0.0, False)
            for k, share in enumerate((1.0, 0.8, 1.0))
        )
        home = tuple(
            (measured(turned(car, share), k + 5, track=back, said_track=flat), 12.0, True)
            for k, share in enumerate((0.6, 0.5))
        )
        yield f"one_way_{i}", Floor(out)
        yield f"both_ways_{i}", Floor((*out, *home), 2.0)
    held = measured(car, 9, track=there, said_track=flat, spoil={"held_m": 0.3})
    yield "one_odd", Floor((*out, (held, 0.0, False)), 2.0)


def _pulling(car: Table, coefficient: float) -> Table:
    """The one-tier car with a drum that just moves this coefficient of its weight."""
    weight, wheel = car["weight"], car["wheels"][0]["diameter_mm"]
    mass = car["body"]["mass_g"] + weight["mass_g"]
    middle = coefficient * mass / (0.9 * weight["mass_g"]) * wheel
    turns = 0.95 * weight["drop_mm"] / (np.pi * middle)
    return changed(car, drum__0__diameter_mm=middle - 0.6, drum__0__turns=float(turns))


def _break_aways() -> Cases:
    made = drawn((67, 0), 1)
    losses = {
        "rolling_coefficient": 0.012,
        "break_away_coefficient": 0.02,
        "constant_drag_n": 0.0,
        "drive_efficiency": 0.9,
    }
    car = changed(made, losses=losses)
    went = tuple(measured(_pulling(car, 0.023), i) for i in range(3))
    nudged = ((8.0, 1), (8.1, 1))
    yield "bounded", Rests((*went, measured(_pulling(car, 0.018), 0, edges=nudged)))
    yield "all_went", Rests(tuple(measured(_pulling(car, 0.06), i) for i in range(2)))
    yield "contradicting", Rests((*went, measured(_pulling(car, 0.03), 0, edges=nudged)))
    slopes = [track((0.0, 0.0), (1.5, 0.0), (60.0, 58.5e3 * s)) for s in (0.015, 0.04)]
    strong = _pulling(car, 0.08)
    yield "on_slopes", Rests(tuple(measured(strong, i, track=t) for i, t in enumerate(slopes)))


def _plans() -> Cases:
    goals = (("farthest", None), ("fastest", 2.0), ("reach", 2.5))
    climb = toml_text(track((0.0, 0.0), (2.0, 0.0), (9.0, 150.0)))
    for i, (goal, mark) in enumerate(goals):
        for tiers in (1, 2, 3):
            car = toml_text(drawn((68, 3 * i + tiers), tiers))
            yield f"{goal}_{tiers}", Planned(car, "", goal, mark)
        yield f"{goal}_sandpiper", Planned(SANDPIPER, CORRIDOR, goal, mark)
        yield f"{goal}_climb", Planned(DUNLIN, climb, goal, mark)
    yield "reach_far", Planned(SANDPIPER, "", "reach", 60.0)
    taper = toml_text(tapered(drawn((69, 0), 2), 0.8))
    yield "taper", Planned(taper)
    car = drawn((69, 1), 2)
    bare = changed(car, string__breaking_load_n=None, body__centre_of_mass_height_mm=None)
    yield "margins_unknown", Planned(toml_text(bare))
    yield "limits", Planned(DUNLIN, CORRIDOR, limits=(("start_margin", 3.0),))
    yield "refused_limits", Planned(SANDPIPER, "", limits=(("string_margin", 20.0),))
    yield "refused_mark", Planned(SANDPIPER, "", "fastest", 50.0)
    yield "refused_weight", Planned(toml_text(scaled(car, 0.02, "weight__mass_g")))
    yield "parts", Planned(SANDPIPER, CORRIDOR, weights_g=(500.0, 800.0), wheels_mm=(110.0,))
    for i in range(2):
        car = drawn((70, i), 2)
        runs = days(car, (1.0, 0.75, 1.0))
        yield f"learnt_{i}", Planned(toml_text(without_losses(car)), runs=runs)


def _noted(runs: tuple[Run, ...], note: str) -> tuple[tuple[Run, str], ...]:
    return tuple((one, note) for one in runs)


def _comparisons() -> Cases:
    for i in range(3):
        car = drawn((71, i), 2)
        runs = repeats(car)
        yield f"winding_{i}", Compared(_noted(runs, ""), "winding")
        notes = tuple((one, "ab"[k % 2]) for k, one in enumerate(runs))
        yield f"note_{i}", Compared(notes, "note")
    car = drawn((72, 0), 2)
    heavy = scaled(car, 1.2, "weight__mass_g")
    wide = scaled(car, 1.1, "wheels__0__diameter_mm", "wheels__1__diameter_mm")
    named = changed(car, name="other", body__mass_g=1.1 * car["body"]["mass_g"])
    shares = (1.0, 1.0, 1.0)
    for by, other in (("weight", heavy), ("wheel", wide), ("car", named)):
        both = (*days(car, shares), *days(other, shares, 0.02))
        yield f"{by}", Compared(_noted(both, ""), by)
    rise = track((0.0, 0.0), (2.0, 0.0), (60.0, 600.0), name="rise")
    floors = tuple(measured(car, i, track=rise) for i in range(3))
    yield "track", Compared(_noted((*days(car, shares), *floors), ""), "track")
    short, full = days(car, (0.7,) * 4), days(car, (1.0,) * 4)
    order = [one for pair in zip(short, full, strict=True) for one in pair]
    yield "in_turns", Compared(_noted(tuple(order), ""), "winding", True)
    still = run(car, edges=((1.0, 1), (1.2, -1)))
    yield "one_each", Compared(_noted((short[0], full[0], still), ""), "winding")
    yield "none_ran", Compared(_noted((still,), ""), "winding")
