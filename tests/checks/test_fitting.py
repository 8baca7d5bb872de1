"""Least squares against certified and published worked fits."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.fitting import fit_columns, fit_curve, fit_line

# NIST StRD, data set Norris (calibration of ozone monitors): y and x of 36 observations.
NORRIS = """
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3
449.1 448.6  778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0
448.9 447.5  10.8 11.6  557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3
0.6 0.3  557.6 556.8  339.3 339.1  888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3
228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""
# NIST StRD, data set Misra1a (dental research: volume against pressure): y and x.
MISRA = """
10.07 77.6  14.73 114.9  17.94 141.1  23.93 190.8  29.61 239.9  35.18 289.0  40.02 332.8
44.82 378.4  50.76 434.8  55.05 477.3  61.01 536.8  66.40 593.1  75.47 689.1  81.78 760.0
"""
# JCGM 100:2008, H.3: corrections of a thermometer in C against its reading, from 20 C.
READING = "21.521 22.012 22.512 23.003 23.507 23.999 24.513 25.002 25.503 26.010 26.511"
CORRECTION = "-.171 -.169 -.166 -.159 -.164 -.165 -.156 -.157 -.159 -.161 -.160"
# R's `cars`: speed in mph and stopping distance in ft (Ezekiel 1930). Rows from memory; the
# published fit below holds them.
CARS_MPH = """
4 4 7 7 8 9 10 10 10 11 11 12 12 12 12 13 13 13 13 14 14 14 14 15 15 15 16 16 17 17 17 18 18 18 18
19 19 19 20 20 20 20 20 22 23 24 24 24 24 25
"""
CARS_FEET = """
2 10 4 22 16 10 18 26 34 17 28 14 20 24 28 26 34 34 46 26 36 60 80 20 26 54 32 40 32 40 50 42 56 76
84 36 46 68 32 48 52 56 64 66 54 70 92 93 120 85
"""


def numbers(text: str) -> np.ndarray:
    return np.array([float(word) for word in text.split()])


def test_norris() -> None:
    """Certified to 15 digits; the residuals lose the digits that y has more than they."""
    y, x = numbers(NORRIS).reshape(-1, 2).T
    fit = fit_line(x, y)
    assert fit.terms == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-11)
    assert fit.errors == pytest.approx([0.232818234301152, 4.29796848199937e-4], rel=1e-11)
    assert fit.sd == pytest.approx(0.884796396144373, rel=1e-11)
    total = np.sum((y - y.mean()) ** 2)
    assert 1.0 - fit.squares / total == pytest.approx(0.999993745883712, rel=1e-14)


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)])
def test_misra1a(start: tuple[float, float]) -> None:
    """y = b1 (1 - exp(-b2 x)), the way of a coast with linear drag over time; both given starts."""
    y, x = numbers(MISRA).reshape(-1, 2).T
    fit = fit_curve(lambda b: b[0] * -np.expm1(-b[1] * x), y, start)
    assert fit.terms == pytest.approx([2.3894212918e2, 5.5015643181e-4], rel=1e-9)
    assert fit.errors == pytest.approx([2.7070075241, 7.2668688436e-6], rel=1e-8)
    assert fit.squares == pytest.approx(1.2455138894e-1, rel=1e-9)
    assert fit.sd == pytest.approx(1.0187876330e-1, rel=1e-9)


def test_thermometer() -> None:
    """JCGM 100:2008, H.3: the roundings of the guide (from memory), and the unrounded figures
    as they were recomputed elsewhere from its data.
    """
    fit = fit_line(numbers(READING) - 20.0, numbers(CORRECTION))
    assert fit.terms == pytest.approx([-0.17120379, 0.00218270], abs=5e-9)
    assert fit.errors == pytest.approx([0.00287760, 0.00066794], abs=5e-9)
    assert fit.correlation[0, 1] == pytest.approx(-0.930, abs=5e-4)
    assert fit.correlation[0, 1] == pytest.approx(-0.93042960, abs=5e-9)
    assert fit.sd == pytest.approx(0.0035, abs=5e-5)
    assert fit.combination([1.0, 10.0]) == pytest.approx((-0.1494, 0.0041), abs=5e-5)
    assert fit.combination([1.0, 10.0]) == pytest.approx((-0.14937681, 0.00413860), abs=5e-9)


def test_stopping_distances() -> None:
    """lm(dist ~ 0 + speed + I(speed^2), cars): reaction 0.845 s, then 3.64 m/s2."""
    v, way = numbers(CARS_MPH), numbers(CARS_FEET)
    fit = fit_columns(np.column_stack([v, v * v]), way)
    assert fit.terms == pytest.approx([1.239030, 0.090139], abs=5e-7)
    assert fit.errors == pytest.approx([0.559971, 0.029389], abs=5e-7)
    assert fit.sd == pytest.approx(15.021593, abs=5e-7)
    plain = fit_line(v, way)
    assert plain.terms == pytest.approx([-17.579095, 3.932409], abs=5e-7)
