"""What is asked beside readings: calibrations, predictions, plans, comparisons, roll-outs."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from corpus.asked import (
    CORRIDOR,
    DUNLIN,
    SANDPIPER,
    Asked,
    Calibrated,
    Card,
    Checked,
    Coasts,
    Compared,
    Floor,
    Learnt,
    Planned,
    Ramp,
    Rests,
    RolledOut,
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

Cases = Iterator[tuple[str, Asked]]
GRAVITY = 9.80665


def study_cases() -> dict[str, Asked]:
    """Everything by its name; the part before the first slash is the class."""
    classes = {
        "calibration": _calibrations(),
        "learnt": _learnt(),
        "slope": _slopes(),
        "break_away": _break_aways(),
        "plan": _plans(),
        "card": _cards(),
        "comparison": _comparisons(),
        "rollout": _rollouts(),
        "coasts": _coasts(),
        "ramp": _ramps(),
        "sensors": _sensors(),
    }
    return {f"{kind}/{name}": one for kind, cases in classes.items() for name, one in cases}


def _measured(car: Table, seed: int, **more: object) -> Run:
    return run(car, seed, said=without_losses(car), **more)


def _varied(car: Table, scatter: float, rng: np.random.Generator) -> Table:
    """The car on another day."""
    rolling, drive = (float(np.exp(scatter * rng.normal())) for _ in range(2))
    losses = car["losses"]
    return changed(
        car,
        losses__rolling_coefficient=losses["rolling_coefficient"] * rolling,
        losses__break_away_coefficient=1.3 * losses["rolling_coefficient"] * rolling,
        losses__drive_efficiency=min(losses["drive_efficiency"] * drive**0.5, 0.999),
    )


def _days(car: Table, shares: tuple[float, ...], scatter: float = 0.01) -> tuple[Run, ...]:
    rng = np.random.default_rng(len(shares))
    cars = [turned(_varied(car, scatter, rng), share) for share in shares]
    return tuple(_measured(one, i) for i, one in enumerate(cars))


def _calibrations() -> Cases:
    for i in range(8):
        car = drawn((60, i), 1 + i % 3)
        yield f"three_{i}", Calibrated(_days(car, (1.0, 0.8, 1.0), 0.005 * (i % 3)))
    for i in range(4):
        light = changed(drawn((61, i)), losses__constant_drag_n=0.015)
        heavy = scaled(light, 2.0, "body__mass_g")
        runs = tuple(_measured(one, k) for k, one in enumerate((light, heavy) * 2))
        yield f"two_masses_{i}", Calibrated(runs)
    sound = _days(drawn((62, 0), 2), (1.0, 0.8, 1.0))
    yield "six", Calibrated(_days(drawn((62, 1), 2), (1.0, 0.9, 0.8, 0.7, 1.0, 0.6)))
    yield "one", Calibrated(sound[:1])
    yield "two", Calibrated(sound[1:])
    yield from _spoilt_calibrations(sound)
    yield from _floor_calibrations()
    taper = tapered(drawn((64, 0), 2), 0.8)
    yield "taper", Calibrated(_days(taper, (1.0, 0.8, 1.0)))
    few = changed(drawn((64, 1), 2), encoder__pulses_per_turn=4)
    yield "few_pulses", Calibrated(_days(few, (1.0, 0.8, 1.0)))
    said = changed(drawn((64, 2)), losses__drive_efficiency=None)
    yield "losses_said", Calibrated(tuple(run(drawn((64, 2)), i, said=said) for i in range(3)))
    linear = changed(drawn((64, 3), 2), losses__linear_drag_n_s_per_m=0.05)
    yield "growing_drag", Calibrated(_repeats(linear))


def _repeats(car: Table) -> tuple[Run, ...]:
    """Three repeats of three windings."""
    rng = np.random.default_rng(0)
    cars = [turned(_varied(car, 0.005, rng), share) for share in (0.35, 0.6, 1.0) for _ in range(3)]
    return tuple(_measured(one, i) for i, one in enumerate(cars))


def _spoilt_calibrations(sound: tuple[Run, ...]) -> Cases:
    car = drawn((62, 0), 2)
    for name, spoil in (
        ("held", {"held_m": 0.3}),
        ("early", {"early_release_m": 0.03}),
        ("slip", {"slip_s": 0.3}),
    ):
        yield f"one_{name}", Calibrated((*sound, _measured(car, 9, spoil=spoil)))
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
            _measured(turned(car, x), i, track=falls, said_track=floor)
            for i, x in enumerate(shares)
        ]
        yield f"one_way_slope_{name}", Calibrated(tuple(runs))
    rise = track((0.0, 0.0), (3.0, 0.0), (60.0, 1200.0))
    yield "rolled_back", Calibrated(tuple(_measured(car, i, track=rise) for i in range(3)))


def _learnt() -> Cases:
    for i in range(6):
        car = drawn((65, i), 1 + i % 3)
        runs, next_car = _days(car, (1.0, 0.75, 1.0)), turned(without_losses(car), 0.88)
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
            (_measured(turned(car, share), k, track=there, said_track=flat), 0.0, False)
            for k, share in enumerate((1.0, 0.8, 1.0))
        )
        home = tuple(
            (_measured(turned(car, share), k + 5, track=back, said_track=flat), 12.0, True)
            for k, share in enumerate((0.6, 0.5))
        )
        yield f"one_way_{i}", Floor(out)
        yield f"both_ways_{i}", Floor((*out, *home), 2.0)
    held = _measured(car, 9, track=there, said_track=flat, spoil={"held_m": 0.3})
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
    went = tuple(_measured(_pulling(car, 0.023), i) for i in range(3))
    nudged = ((8.0, 1), (8.1, 1))
    yield "bounded", Rests((*went, _measured(_pulling(car, 0.018), 0, edges=nudged)))
    yield "all_went", Rests(tuple(_measured(_pulling(car, 0.06), i) for i in range(2)))
    yield "contradicting", Rests((*went, _measured(_pulling(car, 0.03), 0, edges=nudged)))
    slopes = [track((0.0, 0.0), (1.5, 0.0), (60.0, 58.5e3 * s)) for s in (0.015, 0.04)]
    strong = _pulling(car, 0.08)
    yield "on_slopes", Rests(tuple(_measured(strong, i, track=t) for i, t in enumerate(slopes)))


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
        runs = _days(car, (1.0, 0.75, 1.0))
        yield f"learnt_{i}", Planned(toml_text(without_losses(car)), runs=runs)


def _cards() -> Cases:
    yield "sandpiper", Card(SANDPIPER, CORRIDOR)
    yield "dunlin", Card(DUNLIN, CORRIDOR)
    yield "turns", Card(SANDPIPER, "", (2.0, 6.5))
    yield "skipped", Card(DUNLIN, "", (0.0, 3.5, 6.0))
    yield "refused", Card(DUNLIN, "", (1.0,))


def _noted(runs: tuple[Run, ...], note: str) -> tuple[tuple[Run, str], ...]:
    return tuple((one, note) for one in runs)


def _comparisons() -> Cases:
    for i in range(3):
        car = drawn((71, i), 2)
        runs = _repeats(car)
        yield f"winding_{i}", Compared(_noted(runs, ""), "winding")
        notes = tuple((one, "ab"[k % 2]) for k, one in enumerate(runs))
        yield f"note_{i}", Compared(notes, "note")
    car = drawn((72, 0), 2)
    heavy = scaled(car, 1.2, "weight__mass_g")
    wide = scaled(car, 1.1, "wheels__0__diameter_mm", "wheels__1__diameter_mm")
    named = changed(car, name="other", body__mass_g=1.1 * car["body"]["mass_g"])
    shares = (1.0, 1.0, 1.0)
    for by, other in (("weight", heavy), ("wheel", wide), ("car", named)):
        both = (*_days(car, shares), *_days(other, shares, 0.02))
        yield f"{by}", Compared(_noted(both, ""), by)
    rise = track((0.0, 0.0), (2.0, 0.0), (60.0, 600.0), name="rise")
    floors = tuple(_measured(car, i, track=rise) for i in range(3))
    yield "track", Compared(_noted((*_days(car, shares), *floors), ""), "track")
    short, full = _days(car, (0.7,) * 4), _days(car, (1.0,) * 4)
    order = [one for pair in zip(short, full, strict=True) for one in pair]
    yield "in_turns", Compared(_noted(tuple(order), ""), "winding", True)
    still = run(car, edges=((1.0, 1), (1.2, -1)))
    yield "one_each", Compared(_noted((short[0], full[0], still), ""), "winding")
    yield "none_ran", Compared(_noted((still,), ""), "winding")


def _rollouts() -> Cases:
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


def _coasts() -> Cases:
    for i, linear in enumerate((0.0, 0.03, 0.08)):
        car = changed(drawn((73, i), 1 + i % 2), losses__linear_drag_n_s_per_m=linear)
        yield f"linear_{linear}", Coasts(_repeats(car))
    yield "few", Coasts(_days(drawn((73, 5)), (1.0, 0.7, 0.5)))


def _ramps() -> Cases:
    yield "one", Ramp(((0.05, 1.0, 3.2),))
    yield "three", Ramp(((0.03, 1.0, 1.6), (0.05, 1.0, 3.3), (0.08, 1.0, 5.9)))
    yield "repeats", Ramp(((0.05, 1.0, 3.2), (0.05, 1.0, 3.3), (0.05, 1.0, 3.1)))
    yield "offset", Ramp(((0.03, 1.0, 4.0), (0.05, 1.0, 4.3), (0.08, 1.0, 4.8)))


def _sensors() -> Cases:
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
