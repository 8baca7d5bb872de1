"""What unspool assumes of a car that leaves its losses out, against handbook tables.

The tables are of other wheels and strings: each is a band that a default must not leave.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import truncnorm

from unspool.car import Car, Tier, Wheel, parse_car
from unspool.car.handbook import ANY_CAR, Spread, prior_of_parts
from unspool.car.handbook import JOURNALS as JOURNAL_SPREADS
from unspool.car.handbook import TYRES as TYRE_SPREADS
from unspool.car.vehicle import Bearing
from unspool.intervals import HIGH, LOW
from unspool.model.limits import LEAST_STRING_MARGIN, string_margin
from unspool.model.loss_draws import loss_draws
from unspool.study.calibration import priors
from unspool.study.calibration.types import CONSTANT, DRAG, ROLLING

SILENT = """
name = "silent"
body = {mass_g = 1000}
weight = {mass_g = 500, drop_mm = 500}
string = {diameter_mm = 0.5}
wheels = [{name = "rear", count = 4, diameter_mm = 80, mass_g = 20, driven = true}]
drum = [{name = "only", diameter_mm = 10, turns = 10}]
encoder = {pulses_per_turn = 20, axle = "rear"}
"""

# Share of a rope's strength that a knot leaves: Jacobson, Knots for the Outdoors, p. 24, after
# Plymouth Cordage (1946) and Scovell.
KNOTS = {
    "anchor bend": 0.70,
    "bowline": 0.60,
    "two half hitches": 0.75,
    "clove hitch": 0.75,
    "figure of eight": 0.48,
    "overhand": 0.45,
    "reef": 0.45,
}


# Rolling coefficients of tyres on smooth hard floors: The Engineering ToolBox, rolling resistance.
TYRES = {"hard": (0.001, 0.004), "rubber": (0.006, 0.015)}
# Sliding friction of dry journals: OpenStax, University Physics 1, table 6.1 (wood on wood, metal
# on wood, dry steel 0.3), Wood Science 2(3), 1970 (pine on steel 0.10 to 0.25).
JOURNALS = (0.10, 0.25, 0.3)
# Ball bearings: SKF, Rolling bearings, table 1, from deep groove to double row.
BALLS = (0.0015, 0.0024)


def within(spread: Spread, value: float) -> bool:
    return spread.usual / spread.factor <= value <= spread.usual * spread.factor


@pytest.mark.parametrize("friction", JOURNALS)
def test_a_dry_journal_of_the_tables_is_likely(friction: float) -> None:
    assert within(JOURNAL_SPREADS["plain"], friction)


def test_an_oiled_journal_is_better_than_what_is_likely() -> None:
    """A bearing catalogue has 0.01 to 0.02 for plain bearings that are kept in oil. A car's run
    dry.
    """
    assert JOURNAL_SPREADS["plain"].usual / JOURNAL_SPREADS["plain"].factor > 0.02


@pytest.mark.parametrize("friction", BALLS)
def test_a_catalogue_bearing_is_at_the_lower_end_of_small_ones(friction: float) -> None:
    """The catalogue's are oiled and open; small greased ones take many times more (from memory)."""
    balls = JOURNAL_SPREADS["ball"]
    assert balls.usual / balls.factor * 0.85 <= friction <= balls.usual


@pytest.mark.parametrize("tyre", TYRES)
def test_tyres_of_the_tables_are_likely(tyre: str) -> None:
    low, high = TYRES[tyre]
    assert within(TYRE_SPREADS[tyre], high)
    assert low < TYRE_SPREADS[tyre].usual < high * 1.05


def test_a_journal_is_a_rolling_coefficient() -> None:
    """M = mu P d / 2 of the catalogue: 10 N on 4 mm at 0.0015 hold 0.00075 N at a 40 mm radius."""
    drum, bearing = (Tier("only", 0.008, 5.0, 0.008),), Bearing("ball", 0.004)
    wheel = Wheel("rear", 4, 0.040, 0.0, True, bearing=bearing, tyre="hard")
    (ball, _) = prior_of_parts([wheel], drum, None, "smooth").rolling
    assert 0.0015 * ball.amount * 10.0 == pytest.approx(0.00075)


def test_any_car_goes_from_catalogue_racers_to_wood_in_plastic() -> None:
    """The best: a steel wheel on a rail with greased bearings, ten times the catalogue's.

    The worst: a 6 mm shaft of wood (0.3) in a tube, under a wheel of 60 mm with the tables' worst
    car tyre.
    """
    racer = 0.002 + 0.015 * 3.0 / 60.0
    craft = 0.015 + 0.3 * 3.0 / 30.0
    assert ANY_CAR.usual / ANY_CAR.factor < racer
    assert craft < ANY_CAR.usual * ANY_CAR.factor


@pytest.fixture(scope="module")
def silent() -> Car:
    return parse_car(SILENT, "silent")


def test_rolling_lies_between_tyres_of_the_tables(silent: Car) -> None:
    """The Engineering ToolBox, rolling resistance: bicycle tyre on a wooden track 0.001, on
    concrete 0.002, on asphalt 0.004; car tyre on concrete 0.010 to 0.015.
    """
    assert 0.004 < silent.losses.rolling_coefficient <= 0.015
    before = priors.prior_of(silent)
    assert before.mean[ROLLING] - 1.645 * before.sd[ROLLING] < 0.001
    assert before.mean[ROLLING] + 1.645 * before.sd[ROLLING] > 0.015


def test_a_catalogue_bearing_lies_well_within_what_constant_drag_may_be(silent: Car) -> None:
    """SKF, Rolling bearings, table 1: M = mu P d / 2, deep groove 0.0015. 10 N on 4 mm give
    0.0300 N mm, at a wheel of 40 mm radius 0.00075 N.
    """
    moment_n_mm = 0.5 * 0.0015 * 10.0 * 4.0
    assert moment_n_mm == pytest.approx(0.0300)
    force_n = moment_n_mm / 40.0
    assert force_n == pytest.approx(0.00075)
    assert silent.losses.constant_drag_n == 0.0
    _, high = _interval(silent, CONSTANT)
    assert priors.prior_of(silent).lower[CONSTANT] < force_n < high
    # Four wheels that carry 18 N together on bearings of 6 mm; grease and seals take many times it.
    catalogue_n = 0.5 * 0.0015 * 18.0 * 6.0 / 60.0
    assert 10.0 * catalogue_n < high < 100.0 * catalogue_n


def test_drag_of_a_bluff_tower_lies_within_what_drag_may_be(silent: Car) -> None:
    """Munson and Okiishi, figure 9.20: cube face-on 1.05, edge-on 0.80; over 50 to 300 cm2."""
    low, high = _interval(silent, DRAG)
    assert low < 0.80 * 0.0050
    assert high > 1.05 * 0.0300
    assert 0.80 * 0.0050 < priors.prior_of(silent).mean[DRAG] < 1.05 * 0.0300


def test_a_prediction_and_a_calibration_believe_the_same_before_any_run(silent: Car) -> None:
    """Of the drags and the rolling that the file leaves out, in means and upper 90 % points."""
    before, drawn = priors.prior_of(silent), loss_draws(silent, 4096)
    for which, values in (
        (CONSTANT, drawn.constant_n),
        (DRAG, drawn.drag_area_m2),
        (ROLLING, drawn.rolling),
    ):
        _, high = _interval(silent, which)
        assert float(np.quantile(values, HIGH)) == pytest.approx(high, rel=0.15)
        if before.mean[which] > 0.0:
            assert float(values.mean()) == pytest.approx(before.mean[which], rel=0.02)


def test_tyres_grip_like_wet_rubber_and_not_like_dry(silent: Car) -> None:
    """OpenStax University Physics 1, table 6.1: rubber on wet concrete 0.5 to 0.7 at rest, on dry
    1.0; wood on wood 0.5.
    """
    assert 0.5 <= silent.losses.tyre_friction <= 0.7


@pytest.mark.parametrize("knot", KNOTS)
def test_the_string_margin_counts_on_no_better_knot(knot: str) -> None:
    """To within 0.05, by which such tests scatter (other guides name 0.6 to 0.8 for all)."""
    assert string_margin(1.0, 1.0) <= KNOTS[knot] + 0.05


def test_the_least_string_margin_is_the_rope_makers_factor() -> None:
    """Cordage Institute, CI 1401: 5 to 12 times the pull, of the string without a knot."""
    breaking_n = 100.0
    pull_n = string_margin(breaking_n, 1.0) / LEAST_STRING_MARGIN
    assert 5.0 <= breaking_n / pull_n <= 12.0


def _interval(car: Car, which: int) -> tuple[float, float]:
    """What is believed of a term before any run, as a 90 % interval."""
    before = priors.prior_of(car)
    mean, sd = before.mean[which], before.sd[which]
    cut = [(bound[which] - mean) / sd for bound in (before.lower, before.upper)]
    low, high = truncnorm.ppf([LOW, HIGH], *cut, loc=mean, scale=sd)
    return float(low), float(high)
