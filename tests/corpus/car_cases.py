"""Runs of every kind of car on every kind of floor, by seed."""

from __future__ import annotations

from collections.abc import Iterator

from corpus.asked import Run, run
from corpus.cars import changed, drawn, rough_way_m, scaled, tapered, track, wound_to

Runs = Iterator[tuple[str, Run]]

PERFECT = {"slot_sd": 0.0, "jitter_s": 0.0, "tick_s": 0.0, "missed": 0.0}


def plain() -> Runs:
    for i in range(40):
        yield f"{i:02}", run(drawn((1, i)), i, spoil={"clock_error": 0.002 * (i % 3 - 1)})


def perfect() -> Runs:
    for i in range(10):
        yield f"{i:02}", run(drawn((2, i), 1 + i % 3), i, spoil=PERFECT)


def cars() -> Runs:
    wheels = ("wheels__0__mass_g", "wheels__1__mass_g")
    for i, share in enumerate((0.5, 0.7, 1.5, 3.0, 6.0)):
        yield f"body_{share}", run(scaled(drawn((16, i)), share, "body__mass_g"), i)
    for i, share in enumerate((0.7, 1.5, 3.0)):
        yield f"weight_{share}", run(scaled(drawn((17, i)), share, "weight__mass_g"), i)
    for i, share in enumerate((0.1, 2.0)):
        yield f"wheels_{share}", run(scaled(drawn((18, i)), share, *wheels), i)
    for i, inertia in enumerate((0.0, 2e-4, 1e-4)):
        car = changed(drawn((19, i)), wheels__0__inertia_kg_m2=inertia)
        yield f"inertia_{inertia}", run(car, i)
    yield from _losses()
    free = {"rolling_coefficient": 0.0, "constant_drag_n": 0.0, "break_away_coefficient": 0.0}
    stopless = changed(drawn((21, 20)), losses=free)
    still_air = {"body__frontal_area_cm2": None, "body__drag_coefficient": None}
    yield "nothing_stops_it", run(drawn((21, 20)), 20, said=changed(stopless, **still_air))
    yield "air_alone", run(drawn((21, 20)), 20, said=stopless)
    yield "no_pulley", run(changed(drawn((22, 0)), pulley=None), 0)
    yield "no_drag", run(changed(drawn((22, 1)), **still_air), 1)
    yield "no_losses_said", run(drawn((22, 2)), 2, said=changed(drawn((22, 2)), losses=None))
    rolled = changed(drawn((22, 3)), wheels__0__rolling_circumference_mm=400.0)
    yield "rolled_out", run(changed(rolled, wheels__0__diameter_mm=130.0), 3)
    for i in range(3):
        yield f"tiers_{5 + i}", run(drawn((23, i), 5 + i), i)


def _losses() -> Runs:
    for i, drag in enumerate((0.01, 0.05, 0.15)):
        for tiers in (1, 2):
            car = changed(drawn((20, i), tiers), losses__linear_drag_n_s_per_m=drag)
            yield f"linear_{drag}_{tiers}", run(car, i)
    for i, share in enumerate((0.0, 3.0, 10.0)):
        yield f"air_{share}", run(scaled(drawn((21, i)), share, "body__frontal_area_cm2"), i)
    for i, drag in enumerate((0.0, 0.05)):
        yield f"constant_{drag}", run(changed(drawn((21, i + 5)), losses__constant_drag_n=drag), i)
    for i, efficiency in enumerate((0.6, 1.0)):
        car = changed(drawn((21, i + 8)), losses__drive_efficiency=efficiency)
        yield f"efficiency_{efficiency}", run(car, i)


def tapers() -> Runs:
    for i, share in enumerate((0.95, 0.8, 0.6, 0.4)):
        yield f"one_{share}", run(tapered(drawn((24, i), 1), share), i)
        yield f"first_{share}", run(tapered(drawn((24, i + 10), 2), share), i)
        yield f"last_{share}", run(tapered(drawn((24, i + 20), 2), 1.0, share), i)
    for i in range(3):
        yield f"all_{i}", run(tapered(drawn((25, i), 3), 0.9, 0.85, 0.8), i)
    for i in range(2):
        yield f"widening_{i}", run(tapered(drawn((26, i), 1), 1.2), i)


def strings() -> Runs:
    for i, share in enumerate((0.3, 0.5, 0.9, 0.999, 1.0, 1.001, 1.02, 1.1, 1.3)):
        yield f"{share}", run(wound_to(drawn((48, i), 1 + i % 3), share), i)
    for i in range(3):
        car = drawn((49, i), 2)
        nearly = car["drum"][0]["diameter_mm"] * (1.0 - 1e-4 * 30.0**i)
        yield f"tiers_alike_{i}", run(changed(car, drum__1__diameter_mm=nearly), i)


def rises() -> Runs:
    for i in range(6):
        car = drawn((33, i))
        bend = (0.3 + 0.1 * (i % 4)) * rough_way_m(car)
        floor = track((0.0, 0.0), (bend, 0.0), (bend + 60.0, 600.0 + 600.0 * (i % 3)))
        spoil = {"handled": 4.0 * (i % 2)}
        yield f"{i}", run(car, i, track=floor, spoil=spoil)
        untold = (("one_way", 0.0),)
        yield f"{i}_no_direction", run(car, i, track=floor, spoil=spoil, changes=untold)
    for i in range(2):
        car = drawn((34, i))
        floor = track((0.0, 0.0), (0.4 * rough_way_m(car), 0.0), (100.0, 2500.0))
        yield f"unknown_{i}", run(car, i, track=floor, said_track=track((0.0, 0.0)))


def dips() -> Runs:
    for i in range(6):
        car = drawn((35, i))
        at = 0.4 * rough_way_m(car)
        floor = track((0.0, 0.0), (at, 0.0), (at + 2.0, -120.0), (at + 12.0, 880.0))
        yield f"{i}", run(car, i, track=floor)
        untold = (("one_way", 0.0),)
        yield f"{i}_no_direction", run(car, i, track=floor, changes=untold)


def floors() -> Runs:
    for i in range(3):
        car = drawn((36, i))
        way = rough_way_m(car)
        hump = track((0.0, 0.0), (0.3 * way, 0.0), (0.4 * way, 20.0), (0.5 * way, 0.0))
        yield f"hump_{i}", run(car, i, track=hump)
        yield f"hump_unknown_{i}", run(car, i, track=hump, said_track=track((0.0, 0.0)))
        falls = track((0.0, 0.0), (40.0, -80.0), air_temperature_c=5.0, air_pressure_hpa=980.0)
        yield f"falls_{i}", run(car, i, track=falls)
        climbs = track((0.0, 0.0), (1.0, 4.0), (3.0, 2.0), (60.0, 300.0), relative_humidity=80.0)
        yield f"climbs_{i}", run(car, i, track=climbs)
