"""Runs that are not as they should be: said so, and never invented upon."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reading.events.odd_runs import train_of, true_run
from unspool.car import Car, Encoder, Track
from unspool.finding import Finding, Severity
from unspool.model import predict
from unspool.reading.events import Reading, analyse
from unspool.render.json.reading import reading_json
from unspool.virtual.demo.scenario import sandpiper
from unspool.virtual.truth import USUAL, random_car, run, session_train

CHANGEPOINTS = {"tier_change", "landing", "release"}


def kinds(reading: Reading) -> list[str]:
    return [str(event.kind) for event in reading.events]


def codes(reading: Reading) -> set[str]:
    return {finding.code for finding in reading.findings}


def found(reading: Reading, code: str) -> Finding:
    return next(finding for finding in reading.findings if finding.code == code)


def rolled_times(car: Car, pushes: list[tuple[float, float]], slowing: float) -> np.ndarray:
    """Edge times of a car that is pushed at 3 m/s2 from and to the given times and then coasts."""
    t = np.linspace(0.0, 40.0, 80001)
    pull = np.zeros_like(t)
    for begin, end in pushes:
        pull[(t >= begin) & (t < end)] = 3.0
    speed = np.zeros_like(t)
    for i in range(1, len(t)):
        speed[i] = max(speed[i - 1] + (pull[i] - slowing) * (t[1] - t[0]), 0.0)
    way = np.cumsum(speed) * (t[1] - t[0])
    edges = np.arange(1, int(way[-1] / car.metres_per_edge))
    jitter = np.random.default_rng(0).normal(0.0, 50e-6, len(edges))
    return 5.0 + np.interp((edges - 0.4) * car.metres_per_edge, way, t) + jitter


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("told", [True, False])
def test_a_ramp_returns_the_car(seed: int, told: bool) -> None:
    way = true_run(seed).rest_m
    track = Track("ramp", (0.0, 0.5 * way, 0.5 * way + 40.0), (0.0, 0.0, 1.6), 1.2)
    truth = true_run(seed, track=track, handled=4)
    train = truth.train
    if not told:
        train = replace(train, direction=np.ones_like(train.direction))
    reading = analyse(train, truth.car, track)
    half = 0.5 * truth.car.metres_per_edge
    assert kinds(reading)[-3:] == ["furthest", "rollback", "stop"]
    assert "rollback" in codes(reading)
    assert reading.furthest_m == pytest.approx(truth.furthest_m, abs=half)
    assert reading.distance_m == pytest.approx(truth.rest_m, abs=half)
    assert reading.energy.grade == pytest.approx(truth.energy.grade, abs=0.01 * truth.energy.stored)


@pytest.mark.parametrize("seed", range(4))
def test_a_dip_swings_the_car_and_edges_without_direction_say_so(seed: int) -> None:
    way = true_run(seed).rest_m
    low, far = 0.5 * way + 2.0, 0.5 * way + 12.0
    track = Track("dip", (0.0, 0.5 * way, low, far), (0.0, 0.0, -0.12, 0.88), 1.2)
    truth = true_run(seed, track=track)
    untold = replace(truth.train, direction=np.ones_like(truth.train.direction))
    told, reading = (analyse(train, truth.car, track) for train in (truth.train, untold))
    assert "direction_not_known" in codes(reading)
    assert "direction_not_known" not in codes(told)
    assert kinds(reading) == kinds(told)
    assert reading.furthest_m == pytest.approx(truth.furthest_m, abs=truth.car.metres_per_edge)
    values = found(reading, "direction_not_known").values
    turned = np.count_nonzero(np.diff(truth.train.direction))
    assert (values["turns"] > 1) == (turned > 1)
    assert values["furthest_m"] == reading.furthest_m
    if turned > 1:
        assert values["rest_low_m"] - 0.05 < truth.rest_m < values["rest_high_m"] + 0.05
    assert reading.distance_m == pytest.approx(truth.rest_m, abs=0.3)


def test_a_slope_on_the_way_is_no_changepoint() -> None:
    way = true_run(1, tiers=1).rest_m
    track = Track("hump", (0.0, 0.3 * way, 0.4 * way, 0.5 * way), (0.0, 0.0, 0.02, 0.0), 1.2)
    truth = true_run(1, tiers=1, track=track)
    reading = analyse(truth.train, truth.car, track)
    assert [kind for kind in kinds(reading) if kind in CHANGEPOINTS] == ["release"]
    assert reading.distance_m == pytest.approx(truth.rest_m, abs=1e-3)


def test_a_slope_that_no_track_file_tells_is_not_taken_for_the_release() -> None:
    car = sandpiper()
    level = predict(car)
    ramp = Track("ramp", (0.0, 8.0, 30.0), (0.0, 0.0, 0.44), 1.2)
    truth = run(car, ramp, replace(USUAL, clock_error=0.0), 3)
    reading = analyse(truth.train, car)
    release = next(event for event in reading.events if event.kind == "release")
    assert release.distance_m == pytest.approx(level.release_m, abs=0.02)
    assert reading.energy.unexplained is not None
    assert abs(reading.energy.unexplained) > 0.1


def test_the_weight_landed_first() -> None:
    truth = next(
        truth
        for truth in (true_run(seed) for seed in range(20))
        if any(event.kind == "landing" for event in truth.events)
    )
    reading = analyse(truth.train, truth.car)
    assert "landing" in kinds(reading)
    assert "release" not in kinds(reading)
    assert "weight_landed_first" in codes(reading)
    landing = next(event for event in reading.events if event.kind == "landing")
    assert landing.distance_m == pytest.approx(truth.event("landing").distance_m, abs=2e-3)


def test_an_early_release_says_how_much_was_left() -> None:
    truth = true_run(4, early_release_m=0.1)
    reading = analyse(truth.train, truth.car)
    finding = found(reading, "early_release")
    assert finding.severity is Severity.WARNING
    assert finding.values["left_j"] == pytest.approx(truth.energy.left_in_weight, abs=0.02)
    assert finding.values["stored_j"] == pytest.approx(truth.energy.stored, rel=1e-3)
    assert finding.values["early_m"] > 0.0
    assert reading.energy.left_in_weight == pytest.approx(truth.energy.left_in_weight, abs=0.02)


def test_a_tier_change_that_makes_no_difference_is_not_seen_and_not_invented() -> None:
    car = random_car(np.random.default_rng([9, 2]), 2)
    one, two = car.drum
    alike = replace(two, radius_m=one.radius_m * 0.9999, end_radius_m=one.radius_m * 0.9999)
    car = replace(
        car, drum=(replace(one, turns=one.turns / 2), replace(alike, turns=one.turns / 2))
    )
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=2)
    reading = analyse(truth.train, car)
    assert "tier_change" not in kinds(reading)
    assert "tier_change_not_seen" in codes(reading)


def test_a_coast_has_no_release() -> None:
    truth = true_run(3)
    after = truth.edge_distance_m > 1.2 * truth.event("release").distance_m
    reading = analyse(train_of(truth.train.time_s[after]), truth.car)
    assert kinds(reading) == ["launch", "stop"]
    assert "launch_not_seen" in codes(reading)
    assert reading.events[0].time_sd_s is None
    assert reading.energy.left_in_weight is None


@pytest.mark.parametrize("share", [0.2, 0.7])
def test_a_run_cut_short_has_no_stop(share: float) -> None:
    truth = true_run(3)
    part = slice(0, int(share * len(truth.train)))
    reading = analyse(train_of(truth.train.time_s[part]), truth.car)
    assert "stop" not in kinds(reading)
    assert "cut_short" in codes(reading)
    assert reading.energy.unexplained is None


def test_a_push_by_hand_is_no_drive() -> None:
    car = true_run(0).car
    reading = analyse(train_of(rolled_times(car, [(0.0, 0.4)], 0.12)), car)
    assert not CHANGEPOINTS & set(kinds(reading))
    pushed = found(reading, "handled")
    assert pushed.severity is Severity.WARNING
    assert pushed.values["begin_m"] == 0.0
    # 3 m/s2 less 0.12 m/s2 for 0.4 s
    assert pushed.values["end_m"] == pytest.approx(0.5 * 2.88 * 0.4**2, abs=0.03)


def test_winding_before_and_carrying_after_are_a_hands_doing() -> None:
    truth = true_run(5)
    alone = analyse(truth.train, truth.car)
    wound = session_train(truth)
    rng = np.random.default_rng(0)
    carried = wound.time_s[-1] + 5.0 + np.cumsum(rng.uniform(0.02, 0.2, 60))
    train = train_of(
        np.r_[wound.time_s, carried], np.r_[wound.direction, -np.ones(60, dtype=np.int8)]
    )
    reading = analyse(train, truth.car)
    assert kinds(reading) == kinds(alone)
    assert reading.distance_m == pytest.approx(alone.distance_m, abs=1e-4)
    aside = found(reading, "handled")
    assert aside.severity is Severity.NOTE
    assert aside.values["edges"] == reading.motion.handled > 60


@pytest.mark.parametrize(("factor", "code"), [(2.0, "slot_count_doubtful"), (0.5, "handled")])
def test_a_wrong_number_of_slots_shows(factor: float, code: str) -> None:
    truth = true_run(6)
    pulses = round(truth.car.encoder.pulses_per_turn * factor)
    reading = analyse(truth.train, replace(truth.car, encoder=Encoder(pulses, "rear")))
    assert code in codes(reading)


@pytest.mark.parametrize("claim", ["twice", "half", "one more", "two less"])
@pytest.mark.parametrize("seed", range(2))
def test_the_slots_themselves_say_how_many_they_are(seed: int, claim: str) -> None:
    drawn = random_car(np.random.default_rng([12, seed]))
    car = replace(drawn, encoder=Encoder(20, "rear"))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)
    claimed = {"twice": 40, "half": 10, "one more": 21, "two less": 18}[claim]
    reading = analyse(truth.train, replace(car, encoder=Encoder(claimed, "rear")))
    doubt = found(reading, "slot_count_doubtful").values
    assert (doubt["claimed_edges"], doubt["likelier_edges"]) == (claimed, 20)


@pytest.mark.parametrize(("claimed", "factor"), [(40, 0.5), (10, 2.0)])
def test_even_slots_of_a_wrong_number_show_in_all_places(claimed: int, factor: float) -> None:
    drawn = random_car(np.random.default_rng([12, 3]), tiers=2)
    car = replace(drawn, encoder=Encoder(20, "rear"))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0, slot_sd=0.0), seed=3)
    reading = analyse(truth.train, replace(car, encoder=Encoder(claimed, "rear")))
    doubt = found(reading, "slot_count_doubtful").values
    assert (doubt["factor"], doubt["likelier_edges"]) == (factor, 20)


@pytest.mark.parametrize("seed", range(6))
def test_the_right_number_of_slots_is_not_doubted(seed: int) -> None:
    truth = true_run(seed, duty=0.15 * (seed % 2), slot_sd=0.02 * (seed % 3))
    assert "slot_count_doubtful" not in codes(analyse(truth.train, truth.car))


def test_what_never_set_off_is_said_so() -> None:
    car = true_run(0).car
    still = analyse(train_of(np.array([1.0, 1.2]), np.array([1, -1])), car)
    backward = analyse(train_of(np.arange(1, 40) * 0.1, -np.ones(39)), car)
    for reading in (still, backward):
        assert reading.events == ()
        assert codes(reading) == {"did_not_start"}
        assert reading_json(reading)["energy_j"]["drive"] is None
        assert reading.motion.jitter_s is None
    assert reading_json(backward)["furthest_m"] == backward.motion.furthest_m == 0.0
    assert backward.motion.furthest_s == backward.motion.launch_s


def test_a_run_whose_sensors_are_swapped_is_no_car_that_stayed() -> None:
    truth = true_run(0)
    train = replace(truth.train, direction=-np.abs(truth.train.direction))
    swapped = found(analyse(train, truth.car), "did_not_start").values
    assert (swapped["backwards"], swapped["edges"]) == (True, len(train))
    still = analyse(train_of(np.array([1.0, 1.2]), np.array([1, -1])), truth.car)
    assert found(still, "did_not_start").values["backwards"] is False


def test_a_nudge_reaches_at_least_as_far_as_it_rests() -> None:
    reading = analyse(train_of(np.array([1.0, 2.0, 3.0])), true_run(0).car)
    assert reading.furthest_m >= reading.distance_m > 0.0


def test_clock_of_a_millisecond_and_of_an_epoch() -> None:
    truth = true_run(7)
    fine = analyse(truth.train, truth.car)
    coarse = analyse(train_of(np.round(truth.train.time_s, 3)), truth.car)
    epoch = analyse(train_of(truth.train.time_s + 1.7e9), truth.car)
    for reading in (coarse, epoch):
        assert kinds(reading) == kinds(fine)
        assert reading.distance_m == pytest.approx(fine.distance_m, abs=2e-3)


def test_standard_deviations_of_the_speed_are_honest() -> None:
    inside, far = [], []
    for seed in range(8):
        truth = true_run(seed)
        motion = analyse(truth.train, truth.car).motion
        speed = np.interp(motion.time_s - truth.launch_s, truth.time_s, truth.speed_m_s)
        z = np.abs(motion.speed_m_s - speed) / motion.speed_sd_m_s
        inside.append(np.mean(z < 1.0))
        far.append(np.mean(z < 1.96))
    assert 0.5 < np.mean(inside) < 0.9
    assert np.mean(far) > 0.85


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 1.5), st.sampled_from([1, 1, 1, 1, -1])), min_size=1, max_size=150
    )
)
def test_whatever_the_edges_the_answer_is_json(edges: list[tuple[float, int]]) -> None:
    car = random_car(np.random.default_rng(1))
    times = np.cumsum([wait for wait, _ in edges])
    reading = analyse(train_of(times, np.array([sign for _, sign in edges])), car)
    json.dumps(reading_json(reading), allow_nan=False)


@pytest.mark.parametrize(
    ("seed", "slip_s", "grip"), [(0, 0.3, 0.4), (5, 0.2, 0.2), (5, 0.5, 0.7), (6, 0.4, 0.3)]
)
def test_a_wheel_that_spun_at_the_start(seed: int, slip_s: float, grip: float) -> None:
    rng = np.random.default_rng([9, seed])
    drawn = random_car(rng)
    car = replace(drawn, encoder=Encoder(24, "rear"))
    imperfections = replace(USUAL, clock_error=0.0, slip_s=slip_s, slip_grip=grip)
    truth = run(car, imperfections=imperfections, seed=seed)
    reading = analyse(truth.train, car)
    slip = found(reading, "slip_at_start").values
    lost = truth.edge_distance_m[-1] - truth.rest_m
    assert slip["lost_m"] == pytest.approx(lost, rel=0.3, abs=0.02)
    assert slip["turned_m"] > slip["lost_m"]
    assert slip["spun_s"] >= 0.9 * slip_s
    assert codes(reading).isdisjoint({"handled", "chatter", "launch_not_seen"})
    wanted = ["launch", *(e.kind for e in truth.events if e.kind in CHANGEPOINTS), "stop"]
    if "landing" in wanted:
        wanted.remove("release")
    assert kinds(reading) == wanted
    expected = [e for e in reading.events if e.expected_distance_m is not None]
    assert [str(event.kind) for event in expected] == wanted[1:-1]
    for event in expected:
        off_m = event.distance_m - event.expected_distance_m
        assert off_m == pytest.approx(0.0, abs=car.metres_per_edge)


@pytest.mark.parametrize("held_m", [0.01, 0.03, 0.1])
@pytest.mark.parametrize("seed", range(2))
def test_a_string_that_held_at_the_peg(seed: int, held_m: float) -> None:
    car = random_car(np.random.default_rng([10, seed]))
    short = sum(tier.string_m for tier in car.drum) / (0.97 * car.drop_m)
    car = car.wound(tuple(tier.turns / max(short, 1.0) for tier in car.drum))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0, held_m=held_m), seed=seed)
    reading = analyse(truth.train, car)
    assert "string_held" in codes(reading)
    assert "handled" not in codes(reading)
    release = next(event for event in reading.events if event.kind == "release")
    assert release.distance_m == pytest.approx(truth.event("held").distance_m, abs=0.05)


@pytest.mark.parametrize("seed", range(4))
def test_a_string_that_lets_go_is_not_held(seed: int) -> None:
    truth = true_run(seed, early_release_m=0.02)
    assert "string_held" not in codes(analyse(truth.train, truth.car))


def test_a_string_wound_to_the_drop_is_released_and_not_landed_first() -> None:
    car = random_car(np.random.default_rng([8, 4]), 2)
    car = replace(car, drop_m=car.wound_string_m - 1e-6)
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=4)
    reading = analyse(truth.train, truth.car)
    assert "release" in [event.kind for event in reading.events]
    assert "weight_landed_first" not in [finding.code for finding in reading.findings]


@pytest.mark.parametrize("seed", [0, 2, 5])
def test_drag_that_grows_with_the_speed_is_no_held_string(seed: int) -> None:
    car = random_car(np.random.default_rng([8, seed]), 1)
    car = replace(car, losses=replace(car.losses, linear_drag_n_s_per_m=0.08))
    truth = run(car, imperfections=replace(USUAL, clock_error=0.0), seed=seed)
    reading = analyse(truth.train, truth.car)
    assert "string_held" not in [finding.code for finding in reading.findings]
