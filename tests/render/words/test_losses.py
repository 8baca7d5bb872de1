"""What the tables say of a loss."""

from __future__ import annotations

from dataclasses import replace

from unspool.car import FLAT
from unspool.reading.events import analyse
from unspool.render.words.losses import term_rows
from unspool.render.words.losses_pictured import pictured
from unspool.study.calibration import CalibrationRun, calibrate
from unspool.virtual.demo.scenario import sandpiper
from unspool.virtual.truth import PERFECT, run


def test_a_loss_that_rests_on_the_car_file_says_so() -> None:
    """At one weight the rolling rests on the constant drag that the file states."""
    car = sandpiper()
    trains = [run(car, FLAT, PERFECT, seed).train for seed in range(2)]
    runs = [CalibrationRun(analyse(train, car), car) for train in trains]
    made = calibrate(runs)
    linear = "drag that grows with speed (linear drag)"
    said = {row[0]: row[-1] for row in term_rows(made)}
    assert said["rubbing parts (constant drag)"] == "from the car file"
    assert said["rolling (rolling coefficient)"] == "from the attempts, given the constant drag"
    assert said["drive (efficiency)"] == "from the attempts"
    assert linear not in said
    dragged = replace(made, terms=tuple(replace(term, known=True) for term in made.terms))
    assert [row[0] for row in term_rows(dragged)].count(
        "drag that grows with speed (linear drag)"
    ) == 1
    unsure = replace(made, terms=tuple(replace(term, known=False) for term in made.terms))
    values = {row[0]: row[1] for row in term_rows(unsure)}
    assert values["air (drag area)"] == "not known"
    assert values["rubbing parts (constant drag)"] != "not known"


def test_a_loss_is_like_a_force_that_a_pupil_can_make() -> None:
    assert pictured("constant_drag_n", 9.80665e-3) == "1.0\u00a0g that hang against it"
    assert pictured("rolling_coefficient", 0.0128) == "a slope of 1.28\u00a0%"
    side = 0.1 * 1.17**0.5  # a plate of 10 cm by 10 cm has that drag area, squared
    assert pictured("drag_area_m2", side**2).startswith("a board of 100\u00a0mm by 100\u00a0mm")
