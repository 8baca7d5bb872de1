"""The examples of docs/formats.md are read by unspool itself, and say all that it says."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from reading.events.odd_runs import found_in_odd_runs
from render.words.instrument_findings import RECORD, SENSORS
from render.words.test_calibration import FINDINGS as CALIBRATION_FINDINGS
from render.words.test_comparison import CAUTIONS
from render.words.test_plan import PLAN_FINDINGS
from render.words.test_prediction import PREDICTION_FINDINGS
from render.words.test_reading import VARIANTS
from render.words.test_rollout import FINDINGS as ROLL_OUT_FINDINGS
from study.rollout.hand import Hand, push
from unspool.car import parse_car, parse_track
from unspool.car.vehicle import Bearing
from unspool.finding import Finding
from unspool.model import PredictionCode, predict
from unspool.model.outcome import EventKind
from unspool.reading.edges.edge_file import parse_edges
from unspool.reading.events import analyse
from unspool.reading.events.codes import ReadingCode
from unspool.render.json.calibration import calibration_json
from unspool.render.json.comparison import comparison_json
from unspool.render.json.plan import plan_json
from unspool.render.json.prediction import prediction_json
from unspool.render.json.reading import reading_json
from unspool.render.json.rollout import rollout_json
from unspool.render.json.sweep import sweep_json
from unspool.study.calibration import CalibrationCode, CalibrationRun, calibrate
from unspool.study.compare import ComparedRun, ComparisonCode, compare
from unspool.study.plan import PlanCode, plan
from unspool.study.rollout import Push, RollOutCode, roll_out
from unspool.study.sweep import Varied, axis_of, sweep
from unspool.study.sweep.types import LIMITS
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.truth import Imperfections
from unspool.virtual.truth import run as true_run

PAGE = (Path(__file__).parents[2] / "docs" / "formats.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```", PAGE, re.DOTALL | re.MULTILINE)


def examples(language: str) -> list[str]:
    return [text for kind, text in BLOCKS if kind == language]


def test_car_example_is_a_car() -> None:
    car = parse_car(examples("toml")[0], "docs/formats.md")
    assert car.name == "Sandpiper"
    assert car.total_mass_kg == pytest.approx(1.55)
    assert car.losses.assumed == ()


def test_bearings_example_is_a_set_of_wheels() -> None:
    whole = examples("toml")[0]
    before, after = whole.split("[[wheels]]", 1)[0], whole.partition("[[drum]]")
    car = parse_car(before + examples("toml")[1] + "\n" + after[1] + after[2], "docs/formats.md")
    assert car.wheels[0].bearing == Bearing("plain", 0.005, 0.006)
    assert car.wheels[0].tyre == "hard"


def test_track_example_is_a_track() -> None:
    track = parse_track(examples("toml")[2], "docs/formats.md")
    assert track.distance_m == (0.0, 12.0, 20.0)
    assert track.height_m == pytest.approx((0.0, 0.0, 0.16))


def test_edge_example_is_an_edge_file() -> None:
    (text,) = examples("csv")
    assert len(parse_edges(text.encode(), "docs/formats.md")) == 3


def test_defaults_that_the_page_names_are_those_used() -> None:
    without = examples("toml")[0].partition("[losses]")[0]
    losses = parse_car(without, "docs/formats.md").losses
    assert losses.rolling_coefficient == 0.012
    assert losses.constant_drag_n == losses.linear_drag_n_s_per_m == 0.0
    assert losses.drive_efficiency == 0.9
    assert losses.break_away_coefficient == pytest.approx(1.25 * 0.012)
    assert losses.tyre_friction == 0.6


def test_example_of_faults_is_what_is_said() -> None:
    from unspool.errors import InputError

    wrong = examples("toml")[0].replace("mass_g = 910", "mass_g = 0.91")
    wrong = wrong.replace("turns = 3.5", "turns = 0")
    with pytest.raises(InputError) as caught:
        parse_car(wrong, "car.toml")
    for line in f"unspool: {caught.value}".splitlines():
        assert line in PAGE


@pytest.mark.parametrize("text", examples("json"))
def test_json_examples_are_json(text: str) -> None:
    assert json.loads(text)["unspool"] == 1


def keys(value: object) -> set[str]:
    """Every key at any depth; the values of a finding have a table of their own."""
    if isinstance(value, dict):
        inner = [one for key, one in value.items() if key != "values" or "code" not in value]
        return set(value) | set().union(*map(keys, inner))
    return set().union(*map(keys, value)) if isinstance(value, list) else set()


def test_every_key_that_is_written_is_on_the_page() -> None:
    car, track = sandpiper(), corridor()
    train = true_run(car, track, Imperfections(chatter=2, early_release_m=0.05), seed=5).train
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    assert keys(reading_json(analyse(train, car, track))) <= shown
    assert keys(prediction_json(predict(car, track))) <= shown


def test_calibration_keys_are_on_the_page() -> None:
    car, track = sandpiper(), corridor()
    train = true_run(car, track, Imperfections(), seed=6).train
    run = CalibrationRun(analyse(train, car, track), car, track, None, "run 1")
    written = calibration_json(calibrate([run]))
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    assert keys(written) <= shown


def test_comparison_keys_are_on_the_page() -> None:
    car, track = sandpiper(), corridor()
    reading = analyse(true_run(car, track, Imperfections(), seed=7).train, car, track)
    other = replace(reading, winding=(1.5, 8.3))
    runs = [ComparedRun("run 1", reading, car), ComparedRun("run 2", other, car)]
    written = comparison_json(compare(runs))
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    for group in written["groups"]:
        quantities = group.pop("quantities")
        assert keys(quantities["distance_m"]) <= shown
    assert keys(written) <= shown
    assert written["differences"]
    for key in quantities:
        assert f"`{key}`" in PAGE


def table_after(words: str) -> dict[str, set[str]]:
    """A table of findings: each code, and the names of its values."""
    rows = PAGE.partition(words)[2].strip().partition("\n\n")[0].splitlines()[2:]
    cells = [[re.findall(r"`(\w+)`", cell) for cell in row.split("|")[1:3]] for row in rows]
    return {code: set(values) for codes, values in cells for code in codes}


def values_of(findings: Iterable[Finding]) -> dict[str, set[str]]:
    """All values that go with each code."""
    names: dict[str, set[str]] = defaultdict(set)
    for finding in findings:
        names[finding.code] |= set(finding.values)
    return names


def test_every_event_is_on_the_page() -> None:
    for kind in EventKind:
        assert f"`{kind}`" in PAGE


def test_the_page_lists_what_a_reading_finds_with_its_values() -> None:
    page = table_after("What `analyse` finds:")
    assert set(page) == set(ReadingCode)
    of_one_run = [found for found in VARIANTS if "run" not in found.values]
    assert page == values_of([*found_in_odd_runs(), *of_one_run])


def test_the_page_lists_what_a_calibration_finds_with_its_values() -> None:
    page = table_after("What `calibrate` finds (`advice` has the same as sentences):")
    assert set(page) == set(CalibrationCode)
    assert page == values_of(CALIBRATION_FINDINGS)


def test_the_page_lists_what_a_prediction_finds_with_its_values() -> None:
    page = table_after("What `predict` finds:")
    assert set(page) == set(PredictionCode)
    assert page == values_of(PREDICTION_FINDINGS)


def test_the_page_lists_what_a_plan_finds_with_its_values() -> None:
    page = table_after("What `plan` finds:")
    assert set(page) == set(PlanCode)
    assert page == values_of(PLAN_FINDINGS)


def test_the_page_lists_what_a_comparison_finds_with_its_values() -> None:
    page = table_after("What `compare` finds (`cautions` has the same as sentences):")
    assert set(page) == set(ComparisonCode)
    assert page == values_of(CAUTIONS)


def test_the_page_lists_what_the_instrument_finds_with_its_values() -> None:
    assert table_after("What `check` finds:") == values_of(SENSORS)
    assert table_after("What a recording reports, on Track and in the terminal:") == values_of(
        RECORD
    )


def test_rollout_keys_are_on_the_page() -> None:
    written = rollout_json(roll_out([Push("a", push(Hand(missed=0.02), 1), 5.0)], sandpiper()))
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    assert written["findings"]
    assert written.pop("values").keys() == values_of(ROLL_OUT_FINDINGS)[written["verdict"]]
    assert keys(written) <= shown


def test_the_page_lists_what_a_roll_out_finds_with_its_values() -> None:
    page = table_after("What `rollout` finds, the verdict first:")
    assert set(page) == set(RollOutCode)
    assert page == values_of(ROLL_OUT_FINDINGS)


def test_sweep_keys_and_limits_are_on_the_page() -> None:
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    found = sweep(sandpiper(), [axis_of(Varied.WEIGHT, [0.5, 0.6])], corridor())
    assert keys(sweep_json(found)) <= shown
    for limit in LIMITS:
        assert f"`{limit}`" in PAGE


def test_plan_keys_are_on_the_page() -> None:
    shown = set().union(*(keys(json.loads(text)) for text in examples("json")))
    assert keys(plan_json(plan(sandpiper(), corridor()))) <= shown
