"""The laws of coasts against measured rolls of model cars with published analyses.

modelcars and toycars: two teaching data sets of the R package DAAG (Maindonald and Braun), model
cars let go on a ramp and their ways on the floor. Fits of the physical laws recomputed
independently of this project.
"""

from __future__ import annotations

from math import cos, log, radians, sin, sqrt

import numpy as np
import pytest

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.errors import InputError
from unspool.fitting import fit_columns, fit_line
from unspool.study.calibration.coast_laws import CoastJudgement, judge_coasts
from unspool.study.calibration.coasts import Coast, CoastLaw
from unspool.study.calibration.ramp import RampRoll, rolling_from_ramp

# modelcars: cm up a ramp of 20 degrees, then cm over a concrete floor.
MODELCARS = {
    12: (31.375, 30.375, 33.625),
    9: (26.625, 25.75, 27.125),
    6: (18.75, 22.5, 21.625),
    3: (13.875, 11.75, 14.875),
}
# toycars: angle in degrees of a ramp of 16 inches, then m over a smooth floor for three cars.
RAMP_M = 0.4064
TOYCARS = """
.9 .27 .38 .15  1.1 .29 .43 .17  1.3 .43 .37 .27  2.2 .58 .70 .54  2.7 .58 .64 .55
3.1 .63 .69 .60  3.6 .70 .89 .66  4.0 .84 .92 .69  4.9 1.00 1.30 .95
"""
TOYS = np.array([float(word) for word in TOYCARS.split()]).reshape(9, 4)


def modelcars() -> list[tuple[float, float]]:
    """(m up the ramp, m over the floor)."""
    return [(0.01 * up, 0.01 * way) for up, ways in MODELCARS.items() for way in ways]


def speed_at_foot(height_m: float) -> float:
    """Speed in m/s at the foot of a ramp that takes nothing."""
    return sqrt(2.0 * STANDARD_GRAVITY * height_m)


@pytest.fixture(scope="module")
def judged() -> CoastJudgement:
    slope = sin(radians(20))
    return judge_coasts([Coast(speed_at_foot(up * slope), way) for up, way in modelcars()])


def test_the_rows_are_the_published_ones() -> None:
    """lm(distance ~ starting point): 8.083333 (1.077951) + 2.013889 (0.131204) cm."""
    up, way = 100.0 * np.array(modelcars()).T
    fit = fit_line(up, way)
    assert fit.terms == pytest.approx([8.083333, 2.013889], abs=5e-7)
    assert fit.errors == pytest.approx([1.077951, 0.131204], abs=5e-7)
    exponent = fit_line(np.array([log(x) for x in up]), np.array([log(x) for x in way]))
    assert exponent.terms[1] == pytest.approx(0.618803, abs=5e-7)


def test_speeds_at_the_foot() -> None:
    found = [speed_at_foot(0.01 * up * sin(radians(20))) for up in (3, 6, 9, 12)]
    assert found == pytest.approx([0.44860, 0.63442, 0.77700, 0.89721], abs=5e-6)


def test_a_constant_resistance_is_rejected(judged: CoastJudgement) -> None:
    fit = judged.fit(CoastLaw.CONSTANT)
    assert fit.terms[0].value == pytest.approx(1.151796, abs=5e-7)
    assert 1e4 * fit.squares == pytest.approx(153.920139, abs=5e-7)
    assert fit.lack is not None
    assert fit.lack.freedom == (3, 8)
    assert fit.lack.f == pytest.approx(18.598, abs=5e-4)
    assert fit.lack.chance == pytest.approx(0.00058, abs=5e-6)
    assert judged.rejected == (CoastLaw.CONSTANT,)
    assert judged.findings[0].code == "constant_law_rejected"


@pytest.mark.parametrize(
    ("law", "values", "errors", "squares", "chance"),
    [
        (CoastLaw.LINEAR, (0.179237, 2.190081), (0.085343, 0.273140), 19.472029, 0.966),
        (CoastLaw.QUADRATIC, (0.547844, 2.403976), (0.064451, 0.370019), 20.694516, 0.757),
        (CoastLaw.OFFSET, (1.665470, 0.080833), (0.108505, 0.010780), 23.239583, 0.476),
    ],
)
def test_laws_of_two_terms_stand(
    judged: CoastJudgement,
    law: CoastLaw,
    values: tuple[float, float],
    errors: tuple[float, float],
    squares: float,
    chance: float,
) -> None:
    fit = judged.fit(law)
    assert [term.value for term in fit.terms] == pytest.approx(values, abs=2e-6)
    assert [term.error for term in fit.terms] == pytest.approx(errors, rel=1e-4)
    assert 1e4 * fit.squares == pytest.approx(squares, abs=5e-6)
    assert fit.lack is not None
    assert fit.lack.chance == pytest.approx(chance, abs=5e-4)
    assert not fit.rejected


def test_laws_of_two_terms_are_not_separated(judged: CoastJudgement) -> None:
    assert judged.alike == (CoastLaw.LINEAR, CoastLaw.QUADRATIC, CoastLaw.OFFSET)
    (alike,) = (finding for finding in judged.findings if finding.code == "laws_alike")
    assert alike.values["laws"] == tuple(str(law) for law in judged.alike)


def test_toy_cars_rows_are_the_published_ones() -> None:
    """lm(distance ~ angle + factor(car)): 0.092524, 0.188541 (0.009945), 0.111111, -0.082222."""
    angle, way = np.repeat(TOYS[:, 0], 3), TOYS[:, 1:].ravel()
    car = np.tile(np.arange(3), 9)
    columns = np.column_stack([np.ones(27), angle, car == 1, car == 2]).astype(float)
    fit = fit_columns(columns, way)
    assert fit.terms == pytest.approx([0.092524, 0.188541, 0.111111, -0.082222], abs=5e-7)
    assert fit.errors[1] == pytest.approx(0.009945, abs=5e-7)
    assert fit.sd == pytest.approx(0.067777, abs=5e-7)


@pytest.mark.parametrize(
    ("car", "slowing", "coefficient"),
    [(0, 0.326457, 0.033289), (1, 0.273118, 0.027850), (2, 0.363446, 0.037061)],
)
def test_toy_cars_on_a_ramp_that_takes_nothing(
    car: int, slowing: float, coefficient: float
) -> None:
    coasts = [
        Coast(speed_at_foot(RAMP_M * sin(radians(row[0]))), row[1 + car]) for row in TOYS.tolist()
    ]
    (term,) = judge_coasts(coasts).fit(CoastLaw.CONSTANT).terms
    assert term.value == pytest.approx(slowing, abs=5e-7)
    assert term.value / 9.80665 == pytest.approx(coefficient, abs=5e-7)


@pytest.mark.parametrize("car", [0, 1, 2])
def test_toy_cars_refuse_one_coefficient_on_ramp_and_floor(car: int) -> None:
    """On the floor they need 0.028 to 0.037, and yet rolled down a slope of 0.0157."""
    rolls = [RampRoll(RAMP_M * sin(radians(row[0])), RAMP_M, row[1 + car]) for row in TOYS.tolist()]
    with pytest.raises(InputError, match="one rolling coefficient cannot hold on ramp and floor"):
        rolling_from_ramp(rolls)
    assert rolls[0].height_m / rolls[0].level_m == pytest.approx(0.0157, abs=5e-5)


def test_model_cars_refuse_it_too() -> None:
    rolls = [RampRoll(up * sin(radians(20)), up, way) for up, way in modelcars()]
    assert rolls[0].level_m == pytest.approx(0.12 * cos(radians(20)))
    with pytest.raises(InputError, match="should point to 0"):
        rolling_from_ramp(rolls)
