"""Laws of coasts, against an integrator, drawn coasts and coasts that no law explains."""

from __future__ import annotations

from math import nan

import numpy as np
import pytest
from scipy.integrate import quad

from unspool.errors import InputError
from unspool.study.calibration.coast_laws import judge_coasts
from unspool.study.calibration.coasts import Coast, CoastLaw, ImpossibleLawError, LawFault, fit_law

SPEEDS = [0.6, 0.6, 0.6, 1.0, 1.0, 1.0, 1.5, 1.5, 1.5, 2.1, 2.1, 2.1]


def way(v: float, a0: float, a1: float = 0.0, a2: float = 0.0) -> float:
    """The integral of v dv / resistance."""
    return quad(lambda u: u / (a0 + a1 * u + a2 * u * u), 0.0, v, epsabs=0, epsrel=1e-12)[0]


def coasts(sd: float = 0.0, seed: int = 0, shift: float = 0.0, **terms: float) -> list[Coast]:
    rng = np.random.default_rng(seed)
    return [
        Coast(v, (way(v, **terms) + shift) * (1.0 + sd * rng.standard_normal())) for v in SPEEDS
    ]


@pytest.mark.parametrize(
    ("law", "terms", "shift"),
    [
        (CoastLaw.CONSTANT, {"a0": 0.12}, 0.0),
        (CoastLaw.LINEAR, {"a0": 0.12, "a1": 0.05}, 0.0),
        (CoastLaw.LINEAR, {"a0": 0.12, "a1": 1e-6}, 0.0),
        (CoastLaw.LINEAR, {"a0": 0.01, "a1": 0.9}, 0.0),
        (CoastLaw.QUADRATIC, {"a0": 0.12, "a2": 0.03}, 0.0),
        (CoastLaw.QUADRATIC, {"a0": 0.02, "a2": 0.4}, 0.0),
        (CoastLaw.OFFSET, {"a0": 0.12}, 0.07),
    ],
)
def test_exact_coasts_give_their_terms(
    law: CoastLaw, terms: dict[str, float], shift: float
) -> None:
    fit = fit_law(coasts(shift=shift, **terms), law)
    expected = [*terms.values(), *([shift] if shift else [])]
    assert [term.value for term in fit.terms] == pytest.approx(expected, rel=1e-5, abs=1e-6)
    assert fit.squares == pytest.approx(0.0, abs=1e-12)


def test_a_true_law_is_rejected_as_rarely_as_it_should_be() -> None:
    drawn = [fit_law(coasts(0.02, seed, a0=0.12), CoastLaw.CONSTANT) for seed in range(300)]
    # The scatter is a share of the way, so far coasts outweigh: a little above 5 %.
    assert 0.02 < np.mean([fit.rejected for fit in drawn]) < 0.12


def test_drag_that_grows_with_speed_is_seen_and_said() -> None:
    judged = judge_coasts(coasts(0.01, 4, a0=0.12, a2=0.03))
    assert CoastLaw.CONSTANT in judged.rejected
    assert judged.findings[0].code == "constant_law_rejected"
    assert CoastLaw.QUADRATIC in judged.alike


def test_coasts_of_constant_resistance_reject_nothing() -> None:
    judged = judge_coasts([(one.speed_m_s, one.distance_m) for one in coasts(0.01, 1, a0=0.12)])
    assert judged.rejected == ()
    assert CoastLaw.CONSTANT in judged.alike


def test_without_repeats_it_says_what_is_missing() -> None:
    judged = judge_coasts([(0.5, 1.0), (1.0, 3.5), (1.5, 7.0), (2.0, 11.0)])
    assert judged.rejected == ()
    assert judged.fits[0].lack is None
    assert "no_repeats" in [finding.code for finding in judged.findings]


def test_exactly_constant_coasts_make_no_law_impossible() -> None:
    judged = judge_coasts([(v, 4.0 * v * v) for v in (1.0, 1.0, 2.0, 2.0, 3.0)])
    assert judged.impossible == ()


def test_resistance_that_falls_with_speed_is_refused_with_the_reason() -> None:
    steep = [Coast(v, 2.0 * v**4) for v in SPEEDS]
    for law in (CoastLaw.LINEAR, CoastLaw.QUADRATIC):
        with pytest.raises(ImpossibleLawError) as caught:
            fit_law(steep, law)
        assert (caught.value.law, caught.value.fault) == (law, LawFault.RESISTANCE_FALLS_WITH_SPEED)


def test_faster_coasts_that_end_sooner_are_refused() -> None:
    backward = [Coast(v, 5.0 - v) for v in SPEEDS]
    for law in (CoastLaw.LINEAR, CoastLaw.QUADRATIC, CoastLaw.OFFSET):
        with pytest.raises(ImpossibleLawError):
            fit_law(backward, law)
    judged = judge_coasts(backward)
    assert len(judged.impossible) == 3
    assert [f.values for f in judged.findings if f.code == "law_impossible"] == [
        {"law": law, "fault": fault} for law, fault in judged.impossible
    ]


@pytest.mark.parametrize(("speed", "distance"), [(0.0, 1.0), (-1.0, 1.0), (1.0, nan), (1.0, 0.0)])
def test_impossible_measures_are_refused(speed: float, distance: float) -> None:
    with pytest.raises(InputError, match="coast 2: its"):
        judge_coasts([(1.0, 2.0), (speed, distance)])


@pytest.mark.parametrize("given", [[], [(1.0, 2.0)], [(1.0, 2.0)] * 5])
def test_too_few_coasts_are_refused(given: list[tuple[float, float]]) -> None:
    with pytest.raises(ImpossibleLawError) as caught:
        fit_law([Coast(*one) for one in given], CoastLaw.LINEAR)
    assert caught.value.fault is LawFault.TOO_FEW_COASTS
