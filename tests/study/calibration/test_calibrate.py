"""Calibration against runs whose losses are known, and hidden from it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.calibration.hidden_runs import hidden, measured, part, turns, varied
from unspool.car import Car, Encoder
from unspool.errors import InputError
from unspool.study.calibration import Calibration, CalibrationRun, calibrate, predict_with
from unspool.study.calibration.car_errors import ENCODER, WHEEL, errors_of
from unspool.virtual.truth import USUAL, Imperfections, random_car, run

GRAVITY = 9.80665
# The usual sensor's clock is 0.2 % fast: forces seem 0.4 % smaller than they are.
CLOCK = 0.996


def some_car(seed: int = 5) -> Car:
    return random_car(np.random.default_rng(seed), tiers=2)


def three_runs(car: Car, scatter: float = 0.0) -> list[CalibrationRun]:
    rng = np.random.default_rng(1)
    cars = [turns(varied(car, scatter, rng), share) for share in (1.0, 0.8, 1.0)]
    return [measured(one, f"run {i}", seed=i) for i, one in enumerate(cars)]


def codes(told: Calibration) -> list[str]:
    return [finding.code for finding in told.findings]


def resistance(car: Car, calibration: Calibration) -> float:
    rolling, constant = (
        calibration.term(name).value for name in ("rolling_coefficient", "constant_drag_n")
    )
    return rolling * car.total_mass_kg * GRAVITY + constant


def true_resistance(car: Car) -> float:
    losses = car.losses
    return losses.rolling_coefficient * car.total_mass_kg * GRAVITY + losses.constant_drag_n


@pytest.mark.parametrize("seed", range(6))
def test_losses_come_back(seed: int) -> None:
    car = some_car(seed)
    told = calibrate(three_runs(car))
    assert resistance(car, told) == pytest.approx(CLOCK * true_resistance(car), rel=3e-3)
    efficiency, area = told.term("drive_efficiency"), told.term("drag_area_m2")
    assert efficiency.value == pytest.approx(CLOCK * car.losses.drive_efficiency, rel=5e-3)
    assert area.value == pytest.approx(car.drag_area_m2, rel=0.01)
    assert efficiency.known
    assert efficiency.low < car.losses.drive_efficiency < efficiency.high
    assert told.residual_sd_m is not None
    assert told.residual_sd_m < 0.05
    assert not any(one.is_bad for one in told.runs)


def test_one_mass_does_not_tell_constant_drag() -> None:
    told = calibrate(three_runs(some_car()))
    constant = told.term("constant_drag_n")
    assert not constant.known
    assert constant.low == 0.0
    assert constant.high > 0.012
    assert told.correlation[0, 1] < -0.9
    assert "one_mass" in codes(told)


def test_two_masses_tell_constant_drag() -> None:
    car = some_car()
    losses = replace(car.losses, constant_drag_n=0.015)
    light = replace(car, losses=losses)
    heavy = replace(light, body_mass_kg=light.body_mass_kg + 1.0)
    runs = [measured(one, f"run {i}", i) for i, one in enumerate([light, heavy] * 2)]
    told = calibrate(runs)
    constant, rolling = told.term("constant_drag_n"), told.term("rolling_coefficient")
    assert constant.known
    assert constant.low < 0.015 * CLOCK < constant.high
    assert rolling.value == pytest.approx(CLOCK * losses.rolling_coefficient, rel=0.03)
    assert "one_mass" not in codes(told)


def test_slow_runs_do_not_tell_the_drag_area() -> None:
    slow = replace(some_car(), frontal_area_m2=1e-3, drag_coefficient=1.0)
    rough = replace(slow, losses=replace(slow.losses, rolling_coefficient=0.05,
                                         break_away_coefficient=0.05))  # fmt: skip
    rng = np.random.default_rng(3)
    runs = [measured(varied(turns(rough, 0.4), 0.03, rng), f"run {i}", i) for i in range(3)]
    told = calibrate(runs)
    area = told.term("drag_area_m2")
    assert not area.known
    assert area.low <= 1e-3 <= area.high
    assert "air_drag_open" in codes(told)


@pytest.mark.parametrize(
    ("imperfections", "found"),
    [
        (replace(USUAL, held_m=0.3), "string_held"),
        (replace(USUAL, early_release_m=0.03), "early_release"),
        (replace(USUAL, slip_s=0.3), "slip_at_start"),
    ],
)
def test_of_a_spoilt_drive_the_coast_is_used(imperfections: Imperfections, found: str) -> None:
    """Two of the four runs are spoilt, and no term is wrong for it."""
    car = some_car(0)
    sound = three_runs(car, scatter=0.005)[:2]
    bad = [measured(car, f"bad {i}", 9 + i, imperfections=imperfections) for i in range(2)]
    told = calibrate([*sound, *bad])
    whys = [one.without_drive for one in told.runs]
    assert [why and why.values["found"] for why in whys] == [None, None, found, found]
    assert not any(one.is_bad for one in told.runs)
    assert [one.miss_m is None for one in told.runs] == [False, False, True, True]
    both, area = told.resistance, told.term("drag_area_m2")
    assert both.low < CLOCK * true_resistance(car) < both.high
    assert area.low < car.drag_area_m2 < area.high
    drive = told.term("drive_efficiency")
    assert drive.low < CLOCK * car.losses.drive_efficiency < drive.high


def test_a_run_that_disagrees_without_a_finding_is_odd() -> None:
    """Ballast that nobody entered: the run by itself is as sound as any."""
    car = some_car(1)
    heavy = replace(car, body_mass_kg=1.4 * car.body_mass_kg)
    secret = replace(measured(heavy, "secret", 7), car=hidden(car))
    told = calibrate([*three_runs(car, scatter=0.003), secret])
    assert [one.name for one in told.runs if one.is_bad] == ["secret"]
    assert "run_disagrees" in codes(told)


def test_a_run_cut_short_counts_up_to_there() -> None:
    car = some_car(1)
    whole = three_runs(car)
    cut = part(whole[2], slice(int(0.7 * len(whole[2].reading.motion.train))))
    told = calibrate([*whole[:2], cut])
    assert told.runs[2].measured_m is None
    assert not told.runs[2].is_bad
    assert resistance(car, told) == pytest.approx(CLOCK * true_resistance(car), rel=3e-3)
    assert "stop_not_seen" in codes(told)


def test_order_of_runs_does_not_matter() -> None:
    runs = three_runs(some_car(2), scatter=0.01)
    one, other = calibrate(runs), calibrate(runs[::-1])
    for a, b in zip(one.terms[1:], other.terms[1:], strict=True):
        assert a.value == pytest.approx(b.value, rel=0.01)


def test_progress_is_told_round_by_round() -> None:
    steps: list[tuple[int, int]] = []
    calibrate(three_runs(some_car()), lambda done, count: steps.append((done, count)))
    done = [one for one, _ in steps]
    assert done == sorted(done)
    assert sorted(set(done)) == list(range(done[-1] + 1))
    assert len(done) > 2 * done[-1]  # also within a round, so that work under way can be stopped
    assert {count for _, count in steps} == {max(steps)[1]}
    assert done[-1] <= steps[0][1]


def test_no_run_and_no_edges_are_refused() -> None:
    with pytest.raises(InputError, match="no run to calibrate from"):
        calibrate([])
    few = measured(some_car(), "stub")
    with pytest.raises(InputError, match="stub: did not start"):
        calibrate([part(few, slice(5))])


def test_calibrated_losses_go_into_a_car() -> None:
    car = some_car()
    told = calibrate(three_runs(car))
    ready = told.calibrated(hidden(car))
    assert ready.losses == told.losses(hidden(car))
    assert ready.drag_area_m2 == pytest.approx(told.term("drag_area_m2").value)
    assert ready.losses.assumed == ("break_away_coefficient", "tyre_friction")
    hold = ready.losses.break_away_coefficient / ready.losses.rolling_coefficient
    assert hold == pytest.approx(1.25)


def test_next_run_lies_where_it_was_foretold() -> None:
    """Twenty cars whose rolling differs by 1 % from run to run; the fourth winding is unseen."""
    errors, inside, halves = [], [], []
    for seed in range(20):
        rng = np.random.default_rng([seed, 4])
        car = random_car(rng)
        shares = (1.0, 0.75, 1.0, 0.88)
        runs = [measured(varied(turns(car, x), 0.01, rng), str(i), i) for i, x in enumerate(shares)]
        told = predict_with(calibrate(runs[:3]), turns(hidden(car), shares[3]))
        reached = run(turns(varied(car, 0.01, rng), shares[3])).rest_m
        errors.append(abs(told.distance_m / reached - 1.0))
        inside.append(told.distance_low_m <= reached <= told.distance_high_m)
        halves.append((told.distance_high_m - told.distance_low_m) / 2.0 / reached)
    assert np.median(errors) < 0.02
    # Were 90 % right, fewer than 14 of 20 would be a chance of 1 in 1000.
    assert sum(inside) >= 14
    assert 0.005 < np.median(halves) < 0.04


def test_an_interval_for_a_taper_is_one_too() -> None:
    car = some_car(0)
    told = calibrate(three_runs(car, scatter=0.01))
    tier = replace(car.drum[0], end_radius_m=0.9 * car.drum[0].radius_m)
    tapered = replace(hidden(car), drum=(tier, *car.drum[1:]))
    foretold = predict_with(told, tapered)
    true = run(replace(car, drum=tapered.drum)).rest_m
    assert foretold.distance_low_m < foretold.distance_m < foretold.distance_high_m
    assert foretold.distance_m == pytest.approx(true, rel=0.02)


def test_wheels_of_one_size_share_their_error() -> None:
    """A calliper that reads too much does so on both axles; wheels of two sizes err apart."""
    front = replace(some_car(), encoder=Encoder(20, "front"))
    sizes = [
        replace(wheel, radius_m=wheel.radius_m * (1.0 if wheel.driven else 1.2))
        for wheel in front.wheels
    ]
    both = [{error.what for error in errors_of(car)}
            for car in (front, replace(front, wheels=tuple(sizes)))]  # fmt: skip
    assert both[0] == both[1] - {ENCODER}
    assert WHEEL in both[0]
    assert ENCODER in both[1]
