"""What docs/questions.md claims in words, held against runs, hand sums and literals."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from contrast import contrast
from questions_page import FILES, GRAVITY, PAGE, ROOT, rows, sections, told, true, written
from unspool.car import FLAT, load_car
from unspool.model import predict_windings
from unspool.render.figures import palette

STEADY_N = 0.012 * 1.55 * GRAVITY + 0.01  # Sandpiper's resistance on the level
TURN_24_M, TURN_16_M = np.pi * 0.0246, np.pi * 0.0166  # string, to its middle


def distance(name: str, track: str | None = None) -> float:
    return float(told(f"{name}.toml", track and f"{track}.toml")["distance_m"])


def energy(name: str) -> dict[str, float]:
    return dict(told(f"{name}.toml")["energy_j"])


def test_small_tier_cannot_start_what_it_can_keep_going() -> None:
    pull = 0.92 * 0.64 * GRAVITY * 2.3 / 62.0
    assert STEADY_N < pull < 0.016 * 1.55 * GRAVITY + 0.01
    assert not told("tier-4.toml")["starts"]
    assert not true("tier-4.toml").started
    # helped for one turn of its wheels, it is pulled until the string lets go, 33 turns later
    assert true("help-then-4.toml").event("release").distance_m > 13.0


def test_pull_goes_with_the_tiers_radius() -> None:
    margins = [told(f"tier-{d}.toml")["start_margin"] for d in (24, 16, 8, 4)]
    assert margins == pytest.approx([margins[0] * r / 12.3 for r in (12.3, 8.3, 4.3, 2.3)])


def test_first_turn_on_the_starting_tier_gains_most() -> None:
    turns = np.arange(0.0, 7.25, 0.25)
    rest = (0.56 - turns * TURN_24_M) / TURN_16_M
    wound = np.column_stack([turns, rest])
    time = predict_windings(load_car(FILES / "sandpiper.toml"), wound, FLAT, 10.0).mark_s
    assert np.ptp(time[turns >= 3.5]) < 0.1
    assert time[0] - time[turns == 1.0] > 0.55 * (time[0] - time.min())


def test_gearing_changes_the_distance_little_and_the_time_much() -> None:
    for air, most in (("", 1.045), ("-no-air", 1.015)):
        slow, fast = distance(f"tier-8{air}"), distance(f"tier-24{air}")
        assert 1.0 < slow / fast < most
    times = [predict_windings(load_car(FILES / f"tier-{d}.toml"), one, FLAT, 10.0).mark_s[0]
             for d, one in ((8, np.array([[20.72]])), (24, np.array([[7.24]])))]  # fmt: skip
    assert times[0] > 1.5 * times[1]


def test_without_air_the_landing_alone_tells_the_gearings_apart() -> None:
    """Force times way is what the ledger leaves for rolling, term by term."""
    way = {d: distance(f"tier-{d}-no-air") for d in (8, 24)}
    lost = {d: energy(f"tier-{d}-no-air") for d in (8, 24)}
    kept = {d: sum(e[k] for k in ("landing", "drive", "left_in_weight")) for d, e in lost.items()}
    assert (way[8] - way[24]) * STEADY_N == pytest.approx(kept[24] - kept[8], abs=1e-9)
    assert lost[24]["landing"] - lost[8]["landing"] > 0.95 * (kept[24] - kept[8])


def test_a_larger_wheel_is_a_smaller_drum() -> None:
    wheel, drum = told("wheels-248.toml"), told("half-drum.toml")
    for key in ("distance_m", "duration_s", "peak_speed_m_s", "start_margin"):
        assert wheel[key] == pytest.approx(drum[key], rel=1e-9)
    assert distance("sandpiper") < distance("wheels-186") < distance("wheels-248")


@pytest.mark.parametrize(
    ("step", "taper", "weight_kg"),
    [
        ("sandpiper", "taper-24-16", 0.64),
        ("step-24-8", "taper-24-8", 0.64),
        ("dunlin-two", "dunlin-taper", 0.45),
    ],
)
def test_a_taper_saves_the_jerk_and_no_distance(step: str, taper: str, weight_kg: float) -> None:
    assert distance(step) == pytest.approx(distance(taper), rel=0.005)
    assert 0.0 < energy(step)["catches"] < 0.01
    assert energy(taper)["catches"] == 0.0
    pulls = [told(f"{name}.toml")["string"]["peak_tension_n"] for name in (step, taper)]
    assert pulls[1] == pytest.approx(weight_kg * GRAVITY, rel=0.01)
    assert pulls[0] > 1.3 * pulls[1]


def test_three_tiers_lie_between_one_step_and_a_taper() -> None:
    pulls = [told(f"{n}.toml")["string"]["peak_tension_n"] for n in
             ("dunlin-two", "dunlin", "dunlin-taper")]  # fmt: skip
    assert pulls[0] > pulls[1] > pulls[2]


def test_a_turn_moved_costs_nothing_and_a_turn_missing_does() -> None:
    own = distance("sandpiper")
    for name in ("one-turn-less", "one-turn-more", "miscounted-more"):
        assert distance(name) == pytest.approx(own, rel=0.0025)
    assert distance("miscounted-less") < 0.9 * own
    missing_j = 0.64 * GRAVITY * (0.56 - 2.5 * TURN_24_M - 5.55 * TURN_16_M)
    assert energy("miscounted-less")["left_in_weight"] == pytest.approx(missing_j, rel=1e-9)


def test_short_string_leaves_energy_and_long_string_costs_nothing() -> None:
    own = distance("sandpiper")
    for turns, name in ((-2, "two-turns-short"), (-1, "one-turn-short")):
        string = 3.5 * TURN_24_M + (5.55 + turns) * TURN_16_M
        left = 0.64 * GRAVITY * (0.56 - string)
        assert energy(f"string-{name}")["left_in_weight"] == pytest.approx(left, rel=1e-9)
        assert distance(f"string-{name}") / own == pytest.approx(string / 0.56, abs=0.015)
    for name in ("one-turn-over", "two-turns-over"):
        assert distance(f"string-{name}") == pytest.approx(own, abs=0.005)
        assert "landing" in {event["kind"] for event in told(f"string-{name}.toml")["events"]}


@pytest.mark.parametrize(("name", "radius_m"), [("tier-24", 0.0123), ("tier-8", 0.0043)])
def test_landing_costs_the_weights_own_fall(name: str, radius_m: float) -> None:
    release = true(f"{name}.toml").event("release")
    sinking = release.speed_m_s * radius_m / 0.062
    pulley = 0.5 * 0.008  # a disc: half its mass at its rim
    landing = 0.5 * (0.64 + pulley) * sinking**2
    assert energy(name)["landing"] == pytest.approx(landing, rel=1e-6)
    assert landing < 0.012 * 0.64 * GRAVITY * 0.56


def test_dropping_the_weight_gains_nothing() -> None:
    figures = {row.car: {k: float(v) for k, v in row.figures.items()} for row in rows()
               if "dropped at the release (m)" in row.figures}  # fmt: skip
    gains = {
        name: f["dropped at the release (m)"] - f["stops at (m)"] for name, f in figures.items()
    }
    assert gains["rolling-alone.toml"] == pytest.approx(0.0, abs=1e-9)
    assert gains["rolling-and-wheels.toml"] > 0.3
    assert gains["no-air.toml"] < 0.0
    assert gains["sandpiper.toml"] < -0.5
    at = true("rolling-alone.toml").event("release")
    coast = at.speed_m_s**2 / (2.0 * 0.012 * GRAVITY)  # no mass in it
    assert at.distance_m + coast == pytest.approx(distance("rolling-alone"), abs=1e-4)


def test_more_weight_goes_farther_by_ever_less() -> None:
    masses = (0.32, 0.64, 0.96, 1.28, 1.92)
    cars = ("weight-320", "sandpiper", "weight-960", "weight-1280", "weight-1920")
    ways = np.array([distance(name) for name in cars])
    slopes = np.diff(ways) / np.diff(masses)
    assert (slopes > 0.0).all()
    assert (np.diff(slopes) < 0.0).all()
    assert ways.max() < 0.92 * 0.56 / 0.012
    runs = [told(f"{name}.toml") for name in cars]
    for margin in ("traction_margin", "tipping_margin"):
        assert (np.diff([run[margin] for run in runs]) < 0.0).all()
    assert (np.diff([run["string"]["margin"] for run in runs]) < 0.0).all()
    assert distance("weight-960-body-1475") == pytest.approx(ways[1], abs=0.01)


def test_a_rise_shortens_the_run_and_a_steep_one_sends_it_back() -> None:
    runs = [told("sandpiper.toml", f"rise-{k}.toml") for k in (5, 10, 20, 30)]
    reach = [told("sandpiper.toml")["furthest_m"], *(run["furthest_m"] for run in runs)]
    assert reach == sorted(reach, reverse=True)
    kinds = [{event["kind"] for event in run["events"]} for run in runs]
    assert ["rollback" in one for one in kinds] == [False, False, True, True]
    # past where the rise begins, back onto the level
    assert all(run["distance_m"] < 8.0 for run in runs[2:])
    assert true("sandpiper.toml", "rise-20.toml").furthest_m == pytest.approx(reach[3], abs=1e-4)


def test_air_costs_less_than_rolling_and_weather_next_to_nothing() -> None:
    own, doubled, slow = (energy(n) for n in ("sandpiper", "twice-the-area", "tier-8"))
    assert own["air"] < 0.1 * own["rolling"]
    assert slow["air"] < own["air"] < doubled["air"]
    assert distance("sandpiper") - distance("twice-the-area") == pytest.approx(1.0, abs=0.1)


def test_mass_in_the_wheels_costs_time_and_no_more_distance() -> None:
    body, wheels = distance("heavy-body"), distance("heavy-wheels")
    assert wheels == pytest.approx(body, rel=0.005)
    assert max(body, wheels) < 0.94 * distance("sandpiper")
    passed = {
        row.car: row.figures["10 m after (s)"] for row in rows() if "own weight" in row.section
    }
    assert passed["sandpiper.toml"] < passed["heavy-body.toml"] < passed["heavy-wheels.toml"]


def test_runs_narrow_the_interval_and_it_holds_the_truth() -> None:
    bounds = [[float(row.figures[key]) for key in ("from (m)", "stops at (m)", "to (m)")]
              for row in rows() if "from (m)" in row.figures]  # fmt: skip
    widths = [high - low for low, _, high in bounds]
    assert widths[0] > 3.0 * widths[1] > 20.0 * widths[2]
    assert bounds[2][0] < 13.76 < bounds[2][2]
    assert widths[2] / 2.0 < 0.02 * bounds[2][1]


ONLY: dict[str, set[str]] = {
    r"(tier-\d+|help-.*|half-drum|step-.*|taper-.*|start-.*|one-turn-.*|miscounted-.*|string-.*)": {
        "drum"
    },
    r"dunlin-.*": {"drum"},
    r"tier-\d+-no-air": {"drum", "body.drag_coefficient"},
    r"weight-\d+": {"weight.mass_g"},
    r"weight-960-body-1475": {"weight.mass_g", "body.mass_g"},
    r"wheels-\d+": {"wheels"},
    r"heavy-wheels": {"wheels", "body.mass_g"},
    r"heavy-body": {"body.mass_g"},
    r"no-air": {"body.drag_coefficient"},
    r"twice-the-area": {"body.frontal_area_cm2"},
    r"rolling-and-wheels": {"body.drag_coefficient", "losses.constant_drag_n"},
    r"rolling-alone": {"body.drag_coefficient", "losses.constant_drag_n", "wheels"},
    r"unknown": {"losses"},
    r"unknown-(second|next)": {"losses", "drum"},
    r"sandpiper|dunlin": set(),
}
CARS = sorted(path.name for path in FILES.glob("*.toml") if "drum" in path.read_text())


@pytest.mark.parametrize("name", CARS)
def test_a_car_differs_in_what_it_is_about_and_in_nothing_else(name: str) -> None:
    base = "dunlin.toml" if name.startswith("dunlin") else "sandpiper.toml"
    one, other = _flat(written(name)), _flat(written(base))
    differ = {key for key in one.keys() | other.keys() if one.get(key) != other.get(key)}
    if "losses" not in written(name):
        differ = {key for key in differ if not key.startswith("losses.")} | {"losses"}
    stem = name.removesuffix(".toml")
    (allowed,) = [keys for pattern, keys in ONLY.items() if re.fullmatch(pattern, stem)]
    assert differ == allowed
    assert "Every figure is invented." in (FILES / name).read_text(encoding="utf-8")


def _flat(file: dict[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in file.items():
        inner = value.items() if isinstance(value, dict) else [("", value)]
        flat |= {f"{key}.{name}".rstrip("."): one for name, one in inner}
    return flat


def test_every_file_is_told_of() -> None:
    told_of = set(re.findall(r"questions/([\w-]+\.(?:toml|csv))", PAGE))
    assert told_of == {path.name for path in FILES.iterdir()}


def test_contents_lead_to_every_question() -> None:
    slugs = {
        re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")
        for heading in sections()
        if heading
    }
    assert set(re.findall(r"\]\(#([\w-]+)\)", sections()[""])) == slugs


PICTURES = re.findall(r"^!\[(.*)\]\((.*)\)$", PAGE, re.MULTILINE)


@pytest.mark.parametrize(("alt", "target"), PICTURES)
def test_pictures_can_be_heard_and_read(alt: str, target: str) -> None:
    assert len(alt) > 60
    root = ET.parse(ROOT / "docs" / target).getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert root.get("role") == "img"
    assert all(root.findtext(f"{space}{tag}") for tag in ("title", "desc"))
    assert int(root.get("font-size", "0")) * 360 / float(root.get("width", "inf")) > 12
    for text in root.iter(f"{space}text"):
        assert contrast(text.get("fill", ""), palette.PAPER) >= 4.5
    lines = [
        (one.get("stroke"), one.get("stroke-dasharray")) for one in root.iter(f"{space}polyline")
    ]
    assert len({dash for _, dash in lines}) == len(lines), "lines differ by colour alone"


@pytest.mark.parametrize(("alt", "target"), PICTURES)
def test_pictures_are_those_of_this_model(
    alt: str, target: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(ROOT / "docs")
    from questions_pictures import PICTURES as DRAWN  # beside the page, as make pictures runs it

    name = re.sub(r".*question-|\.svg", "", target)
    number = r"(?<![#\w])-?\d+\.?\d*"
    new, old = DRAWN[name]().svg(), (ROOT / "docs" / target).read_text(encoding="utf-8")
    assert re.sub(number, "0", new) == re.sub(number, "0", old)
    drawn, stored = ([float(x) for x in re.findall(number, text)] for text in (new, old))
    assert drawn == pytest.approx(stored, abs=0.15)
