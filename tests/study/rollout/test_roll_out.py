"""Roll-outs of seeded pushes: the circumference is held as often as said, faults are named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from study.rollout.hand import Hand, joined, push, turned_round
from unspool.car import Car
from unspool.errors import InputError
from unspool.finding import Severity
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.study.rollout import Push, RollOut, RollOutCode, roll_out
from unspool.virtual.demo.scenario import sandpiper

CAR = sandpiper()  # 388.2 mm round, 20 edges a turn
HAND = Hand()
SLOT_M = 0.3882 / 20


def pushed(hand: Hand, seeds: list[int], length_m: float = 5.0, car: Car = CAR) -> RollOut:
    return roll_out([Push(f"push {s}", push(hand, s, 7), length_m) for s in seeds], car)


def codes(out: RollOut) -> list[str]:
    return [finding.code for finding in out.findings]


@pytest.mark.parametrize("count", [1, 3])
def test_intervals_hold_the_truth_as_often_as_they_say(count: int) -> None:
    held = 0
    for seed in range(200):
        rng = np.random.default_rng(seed)
        taped, true = rng.uniform(4.0, 6.0), 0.3882 * rng.uniform(0.985, 1.015)
        pushes = []
        for i in range(count):
            really = taped + float(rng.normal(0.0, 3e-3, 2).sum())
            hand = replace(HAND, circumference_m=true, length_m=really)
            pushes.append(Push(str(i), push(hand, 10 * seed + i, seed), taped))
        found = roll_out(pushes, CAR).circumference_m
        held += found.low <= true <= found.high
    assert 164 <= held <= 194  # of 200 at 90 %


def test_more_pushes_narrow_the_interval() -> None:
    one, five = pushed(HAND, [1]).circumference_m, pushed(HAND, [1, 2, 3, 4, 5]).circumference_m
    # One push: half a slot's triangle at each end, and the tape: about 0.3 % either way.
    assert (one.high - one.low) / 2.0 == pytest.approx(0.003 * 0.3882, rel=0.15)
    assert (five.high - five.low) < 0.6 * (one.high - one.low)


def test_a_right_car_file_is_said_to_be_right() -> None:
    out = pushed(HAND, [1, 2, 3], 5.0)
    assert out.verdict.code == RollOutCode.AGREES
    assert (out.proposed_edges, out.pattern_edges) == (20, 20)
    assert out.proposed_m == out.circumference_m
    assert out.findings == ()


@pytest.mark.parametrize("share", [0.985, 1.012])
def test_a_wheel_differs_by_a_per_cent(share: float) -> None:
    out = pushed(replace(HAND, circumference_m=share * 0.3882), [1, 2, 3])
    assert out.verdict.code == RollOutCode.WHEEL_DIFFERS
    assert out.circumference_m.value == pytest.approx(share * 0.3882, rel=3e-3)
    assert out.verdict.severity is Severity.NOTE
    assert out.verdict.values["circumference_m"] == out.circumference_m.value
    assert out.verdict.values["nominal_m"] == pytest.approx(0.3882)


@pytest.mark.parametrize("really", [40, 10, 18, 22, 19, 21])
def test_a_miscounted_disc_is_named_with_the_count_that_fits(really: int) -> None:
    out = pushed(replace(HAND, edges=really), [1, 2, 3])
    assert out.verdict.code == RollOutCode.MISCOUNTED
    assert out.proposed_edges == really
    assert out.verdict.values["believed_edges"] == really
    assert out.verdict.values["pattern_agrees"] is True
    assert out.proposed_m is not None
    assert out.proposed_m.value == pytest.approx(0.3882, rel=4e-3)


def test_neither_wheel_nor_count_is_not_made_to_fit() -> None:
    out = pushed(replace(HAND, length_m=3.7), [1, 2])
    assert out.verdict.code == RollOutCode.UNEXPLAINED
    assert out.proposed_m is None
    assert out.verdict.values["fitting_edges"] == pytest.approx(20 * 3.7 / 5.0, rel=0.01)
    assert out.verdict.values["believed_edges"] is None


def test_what_may_be_either_is_left_open() -> None:
    # A slot of 60 edges is 1.7 %: with a smooth disc a count of 58 looks like another wheel.
    car = replace(CAR, encoder=replace(CAR.encoder, pulses_per_turn=60))
    even = replace(HAND, edges=60, slot_sd=0.0, circumference_m=0.3882 * 60 / 58)
    out = pushed(even, [1, 2, 3], car=car)
    assert out.verdict.code == RollOutCode.UNCLEAR
    assert out.verdict.values["rival_edges"] == 58
    assert out.proposed_edges is None


@pytest.mark.parametrize("tooth", [0.5, 0.65])
def test_missed_edges_are_bridged_and_reported(tooth: float) -> None:
    clean = pushed(replace(HAND, tooth=tooth), [3, 4])
    spoilt = pushed(replace(HAND, tooth=tooth, missed=0.01), [3, 4])
    assert "missing_edges" not in codes(clean)
    assert codes(spoilt) == ["missing_edges"] * 2
    for one in spoilt.pushes:
        assert one.travel.crossed == pytest.approx(5.0 / SLOT_M, abs=1.2)


def test_edges_lost_by_number_are_counted() -> None:
    whole = push(HAND, 5, 7)
    kept = np.r_[0:100, 117 : len(whole)]
    train = PulseTrain(whole.time_s[kept], whole.direction[kept], whole.number[kept])
    out = roll_out([Push("a", train, 5.0)], CAR)
    assert out.pushes[0].travel.crossed == len(whole)
    assert out.pushes[0].travel.lost == 17
    assert codes(out) == ["missing_edges"]


def test_a_push_in_which_the_wheel_slid_is_left_out() -> None:
    # Brought to the mark with the wheel locked for the last 30 cm, as by a brake.
    slid = push(replace(HAND, length_m=4.7), 9, 7)
    pushes = [Push(str(s), push(HAND, s, 7), 5.0) for s in (1, 2, 3)]
    out = roll_out([*pushes, Push("slid", slid, 5.0)], CAR)
    assert out.verdict.code == RollOutCode.AGREES
    odd = out.pushes[3].left_out
    assert odd is not None
    assert odd.values["run"] == "slid"
    assert odd.values["circumference_m"] > 1.04 * odd.values["others_m"]
    assert out.findings == (odd,)
    two = roll_out([pushes[0], Push("slid", slid, 5.0)], CAR)
    assert two.verdict.code == RollOutCode.PUSHES_DISAGREE
    assert two.proposed_m is None
    assert two.verdict.values["smallest_m"] < 0.39 < two.verdict.values["largest_m"]
    assert two.circumference_m.low < 0.3882 < two.circumference_m.high


def test_a_slot_closed_in_each_turn() -> None:
    whole = push(HAND, 5, 7)
    kept = np.flatnonzero(~np.isin(np.arange(len(whole)) % 20, (5, 6)))
    train = PulseTrain(whole.time_s[kept], whole.direction[kept], np.arange(len(kept)))
    out = roll_out([Push("a", train, 5.0)], CAR)
    assert codes(out) == ["slot_lost_each_turn"]
    assert out.verdict.code == RollOutCode.AGREES


def test_pushed_backwards_is_as_good() -> None:
    forward = roll_out([Push("a", push(HAND, 5, 7), 5.0)], CAR)
    backward = roll_out([Push("a", turned_round(push(HAND, 5, 7)), 5.0)], CAR)
    assert codes(backward) == ["backwards"]
    assert backward.circumference_m.value == pytest.approx(forward.circumference_m.value, rel=2e-4)


@pytest.mark.parametrize("rest_s", [0.3, 1.5])
def test_rolling_onto_the_mark_first_is_no_part_of_the_push(rest_s: float) -> None:
    onto = turned_round(push(replace(HAND, length_m=0.4), 3, 7))
    alone = push(HAND, 5, 7)
    out = roll_out([Push("a", joined(onto, alone, rest_s=rest_s), 5.0)], CAR)
    assert out.pushes[0].travel.crossed == len(alone)
    assert codes(out) == ["rolled_to_mark"]


def test_past_the_mark_and_back_onto_it_counts() -> None:
    past = push(replace(HAND, length_m=5.2), 5, 7)
    back = turned_round(push(replace(HAND, length_m=0.2), 3, 7))
    out = roll_out([Push("a", joined(past, back), 5.0)], CAR)
    assert out.pushes[0].travel.crossed == len(past) - len(back)
    assert codes(out) == ["settled"]


def test_a_jiggle_at_the_start_cancels() -> None:
    alone = push(HAND, 5, 7)
    time_s = np.r_[alone.time_s[0] - np.array([0.6, 0.5, 0.3, 0.2]), alone.time_s]
    ways = np.r_[np.array([1, 1, -1, -1], np.int8), alone.direction]
    train = PulseTrain(time_s, ways, np.arange(len(ways)))
    assert roll_out([Push("a", train, 5.0)], CAR).pushes[0].travel.crossed == len(alone)


def test_a_rest_on_the_way_matters_without_directions() -> None:
    halves = [push(replace(HAND, length_m=2.5), seed, 7) for seed in (1, 2)]
    out = roll_out([Push("a", joined(*halves), 5.0)], CAR)
    (rest,) = out.findings
    assert (rest.code, rest.severity) == ("rested", Severity.WARNING)
    assert rest.values["rest_s"] > 1.0
    assert (rest.values["edges_before"], rest.values["more_rests"]) == (len(halves[0]), 0)
    told = PulseTrain(halves[0].time_s.copy(), halves[0].direction.copy(), halves[0].number)
    told.direction[3:5] = (-1, 1)
    out = roll_out([Push("a", joined(told, halves[1]), 5.0)], CAR)
    assert [f.severity for f in out.findings if f.code == "rested"] == [Severity.NOTE]


@pytest.mark.parametrize("length_m", [0.0, -5.0, float("nan"), float("inf"), 5000.0, 0.01])
def test_lengths_that_make_no_sense(length_m: float) -> None:
    with pytest.raises(InputError, match="length"):
        roll_out([Push("a", push(HAND, 5, 7), length_m)], CAR)


def test_no_push_and_no_motion() -> None:
    with pytest.raises(InputError, match="no push"):
        roll_out([], CAR)
    still = PulseTrain(np.array([1.0, 1.5]), np.array([1, -1], np.int8), np.arange(2))
    with pytest.raises(InputError, match="by only 0 edges"):
        roll_out([Push("a", still, 5.0)], CAR)
    with pytest.raises(InputError, match="standard deviation"):
        roll_out([Push("a", push(HAND, 5, 7), 5.0)], CAR, float("nan"))


def test_a_roll_out_prints_as_a_few_lines() -> None:
    text = repr(pushed(replace(HAND, missed=0.01), [3, 4]))
    assert len(text.splitlines()) == 3
    assert "verdict: agrees" in text
    assert "missing_edges" in text
    assert "array" not in text
