"""Predicted runs against the solver of the truth generator, laws, and small cases by hand."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from math import inf, isfinite, isinf, pi, sqrt

import numpy as np
import pytest

from plain import plain_car
from unspool.car import FLAT, Car, Geometry, Losses, Tier, Track
from unspool.model import PredictionCode, predict, split_times
from unspool.model.outcome import EventKind
from unspool.render.json.prediction import prediction_json
from unspool.virtual import truth
from unspool.virtual.demo import scenario

G = 9.80665
HILLS = Track(
    "hills", (-3.0, -1.0, 2.0, 4.0, 6.0, 9.0, 30.0), (0.02, 0.0, 0.0, -0.02, 0.03, 0.1, 0.6), 1.2
)
TRACKS = [FLAT, scenario.corridor(), HILLS]


def found_in(car: Car, code: str) -> dict[str, object]:
    """The values of the finding of that code."""
    (found,) = (one for one in predict(car).findings if one.code == code)
    return dict(found.values)


def odd_car(kind: int, rng: np.random.Generator) -> Car:
    """A random car as it is, tapered down or up, drum reversed, with linear drag, or overlong."""
    car = truth.random_car(rng)
    drum = list(car.drum)
    losses = car.losses
    if kind in (1, 2):
        drum = [replace(t, end_radius_m=t.radius_m * (0.7 if kind == 1 else 1.2)) for t in drum]
    if kind in (3, 5):
        drum = drum[::-1]
    if kind in (4, 5):
        losses = replace(losses, linear_drag_n_s_per_m=0.02)
    if kind == 5:
        drum = [replace(tier, turns=1.3 * tier.turns) for tier in drum]
    return replace(car, drum=tuple(drum), losses=losses)


@pytest.mark.parametrize("kind", range(6))
@pytest.mark.parametrize("track", TRACKS, ids=lambda track: track.name)
def test_events_and_energy_against_the_solver(kind: int, track: Track) -> None:
    rng = np.random.default_rng([kind, TRACKS.index(track)])
    for seed in range(6):
        car = odd_car(kind, rng)
        true, told = truth.run(car, track, seed=seed), predict(car, track)
        assert [str(event.kind) for event in told.events] == [event.kind for event in true.events]
        for mine, theirs in zip(told.events, true.events, strict=True):
            assert mine.distance_m == pytest.approx(theirs.distance_m, rel=1e-6, abs=1e-7)
            time = theirs.time_s - true.launch_s
            assert mine.time_s == pytest.approx(time, rel=1e-6, abs=1e-6)
            assert mine.speed_m_s == pytest.approx(theirs.speed_m_s, rel=1e-6, abs=1e-7)
        for term in ("left_in_weight", "drive", "catches", "landing", "rolling", "air", "grade"):
            expected = pytest.approx(getattr(true.energy, term), rel=1e-6, abs=1e-7)
            assert getattr(told.energy, term) == expected
        assert told.energy.unexplained == pytest.approx(0.0, abs=1e-7)


def test_curve_lies_on_the_true_run() -> None:
    car, track = scenario.dunlin(), scenario.corridor()
    told, true = predict(car, track).curve, truth.run(car, track)
    at = np.interp(told.time_s, true.time_s, true.distance_m)
    assert told.distance_m == pytest.approx(at, abs=1e-4)
    assert np.all(np.diff(told.time_s) >= 0.0)


def test_single_tier_by_hand() -> None:
    """Drive 0.1 g less 0.02 g moves 1 + 0.5 x 0.04 = 1.02 kg over 2.5 m; then 0.02 g stops it."""
    told = predict(plain_car())
    assert told.release_m == pytest.approx(2.5)
    assert told.peak_speed_m_s == pytest.approx(sqrt(2 * 0.08 * G / 1.02 * 2.5))
    assert told.distance_m == pytest.approx(2.5 + 0.08 * 2.5 / 1.02 / 0.02)
    assert told.start_margin == pytest.approx(5.0)


def test_rolling_losses_alone_make_the_distance_of_every_winding_nearly_one() -> None:
    """Common practice: gearing buys distance only through the landing and the catches."""
    small = plain_car(drum=(Tier("only", 0.005, 0.5 / (2 * pi * 0.005), 0.005),))
    energy = 0.5 * 0.5 * G / (0.02 * 1.0 * G)
    for car in (plain_car(), small):
        told = predict(car)
        lost = told.energy.landing
        assert lost is not None
        assert told.distance_m + lost / (0.02 * G) == pytest.approx(energy)


def test_traction_and_tipping_by_hand() -> None:
    """a = 0.08 g / 1.02; half of the load is on the driven axle, h / wheelbase = 1/2."""
    told = predict(plain_car(geometry=Geometry(0.2, 0.1, 0.1)))
    a = 0.08 / 1.02
    assert told.tipping_margin == pytest.approx(1.0 / a)
    assert told.traction_margin == pytest.approx(0.6 * (0.5 + a / 2) / (a + 0.02))


def test_tension_without_steps_is_the_hanging_weights() -> None:
    told = predict(plain_car(breaking_load_n=100.0))
    assert told.peak_tension_n == pytest.approx(0.5 * G)
    assert told.string_margin == pytest.approx(50.0 / (0.5 * G))


def test_step_pulls_harder_than_no_step() -> None:
    drum = (Tier("a", 0.012, 2.0, 0.012), Tier("b", 0.006, 4.0, 0.006))
    stepped = plain_car(drum=drum, string_diameter_m=0.0006)
    assert predict(stepped).peak_tension_n > 0.5 * G * 1.05


def test_car_that_does_not_start_stays() -> None:
    told = predict(plain_car(losses=Losses(0.02, 0.0, 0.0, 1.0, 0.2, 0.6)))
    assert (told.starts, told.distance_m, told.release_m, told.events) == (False, 0.0, None, ())
    assert told.start_margin == pytest.approx(0.5)
    assert told.energy.left_in_weight == told.energy.stored
    assert told.findings[0].code == PredictionCode.DOES_NOT_START
    assert told.findings[0].values == {"start_margin": told.start_margin}


def test_tier_that_is_not_wound_is_as_if_it_were_not_there() -> None:
    car = scenario.dunlin()
    bare = predict(car.wound((0.0, 3.0, 4.0)))
    assert bare.distance_m == predict(replace(car, drum=car.drum[1:]).wound((3.0, 4.0))).distance_m
    assert [event.to_tier for event in bare.events if event.to_tier] == ["run"]
    assert not predict(car.wound((0.0, 0.0, 0.0))).starts


def test_interval_holds_the_distance_and_grows_with_ignorance() -> None:
    given, car = predict(scenario.sandpiper()), scenario.sandpiper()
    names = ("rolling_coefficient", "drive_efficiency", "constant_drag_n")
    guessed = predict(replace(car, losses=replace(car.losses, assumed=names)))
    assert guessed.distance_low_m < given.distance_low_m < given.distance_m
    assert given.distance_m < given.distance_high_m < guessed.distance_high_m
    assert guessed.distance_low_m > 0.0


@pytest.mark.parametrize(
    ("change", "code", "values"),
    [
        ({"drop_m": 0.6}, PredictionCode.DROP_NOT_USED, {"early_m": 0.1, "left_j": 0.05 * G}),
        ({"drop_m": 0.45}, PredictionCode.WEIGHT_LANDS_FIRST, {"spare_m": 0.05}),
        ({"drop_m": 0.3}, PredictionCode.STRING_TOO_LONG, {"string_m": 0.5, "drop_m": 0.3}),
        ({"losses": Losses(0.02, 0.0, 0.0, 1.0, 0.02, 0.01), "geometry": Geometry(0.2, 0.1, 0.1)},
         PredictionCode.WHEELS_SLIP, {"margin": 0.01 * (0.5 + 0.04 / 1.02) / (0.08 / 1.02 + 0.02)}),
        ({"geometry": Geometry(0.2, 0.005, 0.2)},
         PredictionCode.TIPS_BACK, {"margin": 0.025 * 1.02 / 0.08}),
        ({"breaking_load_n": 5.0}, PredictionCode.STRING_MAY_BREAK,
         {"margin": 2.5 / (0.5 * G), "peak_tension_n": 0.5 * G}),
        ({"breaking_load_n": 20.0}, PredictionCode.STRING_MARGIN_LOW,
         {"margin": 10.0 / (0.5 * G), "peak_tension_n": 0.5 * G}),
        ({"drum": (Tier("a", 0.01, 3.0, 0.01), Tier("b", 0.02, 1.0, 0.02))},
         PredictionCode.LARGER_TIER, {"tier": "b", "before": "a"}),
        ({"drum": (Tier("a", 0.01, 3.0, 0.01), Tier("b", 0.0005, 90.0, 0.0005))},
         PredictionCode.STOPS_ON_TIER, {"tier": "b"}),
        ({"losses": Losses(0.02, 0.0, 0.0, 1.0, 0.02, 0.6, ("rolling_coefficient",))},
         PredictionCode.HANDBOOK_LOSSES, {"losses": ("rolling_coefficient",)}),
        ({}, PredictionCode.AIR_DRAG_LEFT_OUT, {}),
    ],
)  # fmt: skip
def test_findings(change: dict[str, object], code: str, values: dict[str, object]) -> None:
    found = found_in(plain_car(**change), code)
    assert found.keys() == values.keys()
    for name, value in values.items():
        assert found[name] == (pytest.approx(value) if isinstance(value, float) else value)


def test_a_taper_that_outruns_the_weight() -> None:
    """It grows tenfold within half a turn, at the speed that the tier before it gave."""
    drum = (Tier("start", 0.02, 3.0, 0.02), Tier("cone", 0.004, 0.5, 0.04))
    car = plain_car(drum=drum, drop_m=0.6)
    assert found_in(car, PredictionCode.TAPER_OUTRUNS_WEIGHT) == {"tier": "cone"}


def test_warnings_stand_before_notes() -> None:
    findings = predict(plain_car(drop_m=0.45, breaking_load_n=5.0)).findings
    assert [one.severity for one in findings] == ["warning", "note", "note"]


def test_a_sound_car_has_no_warning() -> None:
    car = scenario.sandpiper()
    assert [one.code for one in predict(car).findings if one.severity == "warning"] == []


FREE = Losses(0.0, 0.0, 0.0, 1.0, 0.0, 0.6)


def test_nothing_stops_a_car_without_losses() -> None:
    """By energy: m g h = (M + m (r/R)^2) v^2 / 2 at the release."""
    told = predict(plain_car(losses=FREE))
    speed = sqrt(2.0 * 0.5 * 9.80665 * 0.5 / (1.0 + 0.5 * 0.2**2))
    assert told.starts
    assert told.peak_speed_m_s == pytest.approx(speed, rel=1e-9)
    assert told.release_m == pytest.approx(2.5, rel=1e-9)
    assert [event.kind for event in told.events][:2] == [EventKind.LAUNCH, EventKind.RELEASE]
    assert all(isinf(x) for x in (told.distance_m, told.furthest_m, told.duration_s))
    assert told.energy.kinetic == pytest.approx(0.5 * speed**2, rel=1e-9)
    assert told.energy.unexplained == pytest.approx(0.0, abs=1e-9)
    assert PredictionCode.NEVER_STOPS in {one.code for one in told.findings}
    assert prediction_json(told)["distance_m"] is None
    assert prediction_json(told)["duration_s"] is None


def test_marks_are_passed_by_a_car_that_nothing_stops() -> None:
    car = plain_car(losses=FREE)
    told = predict(car)
    at_release = told.events[1].time_s
    (split,) = split_times(car, FLAT, [12.5])
    assert split == pytest.approx(at_release + 10.0 / told.peak_speed_m_s, rel=1e-9)


@pytest.mark.parametrize(
    "changes",
    [
        {"frontal_area_m2": 0.02, "drag_coefficient": 1.0},
        {"losses": replace(FREE, linear_drag_n_s_per_m=0.1)},
        {"losses": replace(FREE, break_away_coefficient=0.02)},
    ],
    ids=["air", "linear", "held at rest"],
)
@pytest.mark.parametrize("heights", [(0.0, 0.0), (0.0, -1.0), (0.0, 0.5), (1.0, 0.0, 0.0, 1.0)])
def test_no_floor_upsets_a_car_that_nothing_stops(
    changes: dict[str, object], heights: tuple[float, ...]
) -> None:
    """Level, down, up and a bowl; on the slope up a break-away may hold the car."""
    places = tuple(-5.0 + 10.0 * i for i in range(len(heights)))
    told = predict(plain_car(**{"losses": FREE, **changes}), Track("floor", places, heights, 1.2))
    assert told.starts
    assert abs(told.energy.unexplained or 0.0) < 1e-6
    assert isfinite(told.reach_m)


def test_a_car_that_rolls_back_is_warned_of() -> None:
    hill = Track("hill", (0.0, 2.0, 4.0), (0.0, 0.0, 0.4), 1.2)
    told = predict(plain_car(), hill)
    assert any(event.kind is EventKind.ROLLBACK for event in told.events)
    (found,) = (one for one in told.findings if one.code == PredictionCode.ROLLS_BACK)
    assert found.values == {"from_m": told.furthest_m}
    assert PredictionCode.ROLLS_BACK not in {one.code for one in predict(plain_car()).findings}


def test_break_away_below_rolling_counts_as_rolling() -> None:
    low = plain_car(losses=Losses(0.02, 0.0, 0.0, 1.0, 0.005, 0.6))
    even = plain_car(losses=Losses(0.02, 0.0, 0.0, 1.0, 0.02, 0.6))
    assert predict(low).start_margin == predict(even).start_margin
    code = PredictionCode.BREAK_AWAY_BELOW_ROLLING
    assert found_in(low, code) == {"break_away": 0.005, "rolling": 0.02}
    assert code not in {one.code for one in predict(even).findings}


def test_heavy_air_settles_at_its_speed() -> None:
    """With a parachute the coast and the drive run at their terminal speeds; the solver agrees."""
    car = plain_car(frontal_area_m2=30.0, drag_coefficient=2.0)
    assert predict(car).duration_s == pytest.approx(float(truth.run(car).time_s[-1]), rel=1e-6)


def test_split_times_against_the_solver() -> None:
    car, track = scenario.sandpiper(), scenario.corridor()
    true = truth.run(car, track)
    splits = split_times(car, track, [0.0, 1.0, 5.0, 10.0, 50.0])
    assert splits[0] == 0.0
    assert splits[1:4] == pytest.approx(
        np.interp([1.0, 5.0, 10.0], true.distance_m, true.time_s), abs=1e-4
    )
    assert splits[4] is None


def test_scaling_law() -> None:
    """All masses and forces doubled: the same motion, twice the energy."""
    car = scenario.sandpiper()
    double = replace(
        car,
        body_mass_kg=2 * car.body_mass_kg,
        weight_mass_kg=2 * car.weight_mass_kg,
        wheels=tuple(replace(w, inertia_kg_m2=2 * w.inertia_kg_m2) for w in car.wheels),
        pulley=replace(car.pulley, inertia_kg_m2=2 * car.pulley.inertia_kg_m2),
        losses=replace(car.losses, constant_drag_n=2 * car.losses.constant_drag_n),
        frontal_area_m2=2 * car.frontal_area_m2,
    )
    one, two = predict(car), predict(double)
    assert two.distance_m == pytest.approx(one.distance_m, rel=1e-12)
    assert two.energy.rolling == pytest.approx(2 * one.energy.rolling, rel=1e-12)


def test_json_is_the_contracts() -> None:
    told = prediction_json(predict(scenario.sandpiper(), scenario.corridor()))
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["unspool"] == 1
    keys = "starts start_margin distance_m distance_low_m distance_high_m furthest_m duration_s"
    keys += " peak_speed_m_s release_m events energy_j string traction_margin tipping_margin"
    assert set(keys.split()) <= set(told)
    assert set(told["string"]) == {"peak_tension_n", "margin"}
    assert told["events"][1] == {
        "kind": "tier_change",
        "from": "start",
        "to": "run",
        "time_s": pytest.approx(2.1619, abs=1e-4),
        "distance_m": pytest.approx(1.3587),
        "speed_m_s": pytest.approx(1.2536, abs=1e-4),
        "time_sd_s": None,
        "distance_sd_m": None,
        "expected_distance_m": None,
    }
    energy = told["energy_j"]
    assert sum(energy.values()) - energy["stored"] == pytest.approx(energy["stored"], rel=1e-9)


def test_unknowns_are_null_in_json() -> None:
    downhill = Track("down", (0.0, 1.0), (0.0, -0.1), 1.2)
    told = predict(plain_car(), downhill)
    assert told.start_margin == inf
    shown = prediction_json(told)
    for key in ("start_margin", "traction_margin", "tipping_margin"):
        assert shown[key] is None
    assert shown["string"]["margin"] is None
    assert shown["energy_j"]["air"] is None
    assert json.dumps(asdict(told.energy), allow_nan=False)
