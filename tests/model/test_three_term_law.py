"""The law with three terms of resistance, against scipy's solver and where its forms meet."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from unspool.model.three_term_law import ThreeTermLaw

# Start in m/s, then the constant, linear and square terms: every sign of the discriminant, and
# terms that are missing or next to nothing.
LAWS = [
    (2.0, -0.06, 0.02, 0.012),
    (2.0, -0.06, 0.08, 0.012),
    (3.0, -0.05, 0.0, 0.2),
    (2.0, -0.3, 0.05, 0.0),
    (2.0, -0.3, 1e-9, 1e-9),
    (0.0, 0.5, 0.3, 1e-3),
    (0.5, 0.4, 0.0, 0.0),
    (0.0, 0.9, 0.02, 1e-5),
    (1.0, 0.0, 0.1, 0.05),
]


def law_of(*numbers: float) -> ThreeTermLaw:
    v0, a, b, d = (np.array([number]) for number in numbers)
    return ThreeTermLaw.of(v0, a, b, d, np.ones(1))


@pytest.mark.parametrize("numbers", LAWS)
def test_against_the_solver(numbers: tuple[float, float, float, float]) -> None:
    v0, a, b, d = numbers
    law = law_of(*numbers)
    time = np.minimum(0.9 * law.standstill_s(), 6.0)
    solved = solve_ivp(
        lambda _, y: [y[1], a - b * y[1] - d * y[1] ** 2, y[1] ** 2, y[1] ** 3],
        (0.0, float(time[0])), [0.0, v0, 0.0, 0.0], method="DOP853", rtol=1e-12, atol=1e-14,
    )  # fmt: skip
    found = np.concatenate([*law.at(time), *law.powers(time)])
    assert found == pytest.approx(solved.y[:, -1], rel=1e-9)
    assert law.passing_s(law.at(time)[0]) == pytest.approx(time, rel=1e-8)


@pytest.mark.parametrize("drag", [1e-6, 1e-2])
def test_a_car_at_its_terminal_speed_rolls_on_evenly(drag: float) -> None:
    """After the speed has settled, way grows by it, however long ago that was."""
    law = law_of(0.0, 0.5, 1.0, drag)
    (early, late), (terminal, _) = law.at(np.array([2000.0, 5000.0]))
    assert 0.5 - terminal - drag * terminal**2 == pytest.approx(0.0, abs=1e-12)
    assert late - early == pytest.approx(3000.0 * terminal, rel=1e-9)


def test_its_forms_agree_where_they_meet() -> None:
    """Just below and above the drag at which the form of the way changes."""
    below, above = (law_of(1.0, 0.4, 0.03, drag).at(np.array([3.0])) for drag in (1e-4, 1.0001e-4))
    assert below[0] == pytest.approx(above[0], rel=1e-7)
    assert below[1] == pytest.approx(above[1], rel=1e-7)
