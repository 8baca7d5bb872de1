"""What the tables say of a loss."""

from __future__ import annotations

from dataclasses import replace

from unspool.car import FLAT
from unspool.reading.events import analyse
from unspool.render.words.losses import term_rows
from unspool.study.calibration import CalibrationRun, calibrate
from unspool.virtual.demo.scenario import sandpiper
from unspool.virtual.truth import PERFECT, run


def test_a_loss_that_rests_on_the_car_file_says_so() -> None:
    """At one weight the rolling rests on the constant drag that the file states."""
    car = sandpiper()
    trains = [run(car, FLAT, PERFECT, seed).train for seed in range(2)]
    runs = [CalibrationRun(analyse(train, car), car) for train in trains]
    made = calibrate(runs)
    said = {row[0]: row[-1] for row in term_rows(made)}
    assert said["constant drag"] == "from the car file"
    assert said["rolling coefficient"] == "from the attempts, given the constant drag"
    assert said["drive efficiency"] == "from the attempts"
    assert "linear drag" not in said
    dragged = replace(made, terms=tuple(replace(term, known=True) for term in made.terms))
    assert [row[0] for row in term_rows(dragged)].count("linear drag") == 1
    unsure = replace(made, terms=tuple(replace(term, known=False) for term in made.terms))
    values = {row[0]: row[1] for row in term_rows(unsure)}
    assert values["drag area"] == "not known"
    assert values["constant drag"] != "not known"
