"""`unspool plan`, for people and for programs, and what it refuses."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from unspool.car import Car
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run

PLAN = ["plan", str(SANDPIPER), "--track", str(CORRIDOR)]


def answer(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    assert run([*arguments, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert isinstance(told, dict)
    return told


def predicted(
    plan: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> dict[str, Any]:
    """What predict says of a car file that was rewritten by hand as the plan says."""
    text = SANDPIPER.read_text()
    turns = {one["tier"]: one["turns"] for one in plan["turns"]}
    for tier in re.findall(r"\[\[drum\]\]\n.*?\n\n", text, re.DOTALL):
        name = re.search('name = "(.*)"', tier)[1]
        wound = re.sub("turns = .*", f"turns = {turns.get(name)}", tier)
        text = text.replace(tier, wound if name in turns else "")
    car = tmp_path / "planned.toml"
    car.write_text(text)
    return answer(["predict", str(car), "--track", str(CORRIDOR)], capsys)


@pytest.mark.parametrize(
    "goal", [[], ["--goal", "fastest", "--distance", "5"], ["--goal", "reach", "--distance", "9"]]
)
def test_plan_for_programs_is_what_predict_says_of_it(
    goal: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = answer([*PLAN, *goal], capsys)
    own = answer(["predict", *PLAN[1:]], capsys)
    same = predicted(told, tmp_path, capsys)
    for key in ("distance_m", "duration_s", "start_margin", "traction_margin", "tipping_margin"):
        assert told[key] == pytest.approx(same[key], rel=1e-9), key
    assert told["string_margin"] == pytest.approx(same["string"]["margin"])
    assert told["gain_m"] == pytest.approx(same["distance_m"] - own["distance_m"])
    assert sum(one["string_m"] for one in told["turns"]) <= 0.56 + 1e-9


def test_plan_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*PLAN, "--goal", "fastest", "--distance", "5"]) == 0
    out = capsys.readouterr().out.replace("\u00a0", " ")
    lines = out.splitlines()
    assert lines[0] == "Sandpiper on Corridor, to pass 5.00 m soonest"
    assert lines[2].split() == ["start", "7", "541", "mm"]
    assert any(line.startswith("passes 5.00 m after 4.43 s, stops at 14.0") for line in lines)
    assert any(line.startswith("The best winding, with any turns, is 6.9 on") for line in lines)
    assert "Held back by the" in out
    assert re.search(r"against the winding in the car file: 0\.\d\d s sooner, ", out)
    assert "a tier off by turns, sooner by" in out
    assert "would be sooner by" in out
    assert "To learn most about the " in out
    assert "hands from under the weight" in out


def test_turns_in_the_order_of_winding(capsys: pytest.CaptureFixture[str]) -> None:
    """What the string leaves last is wound first."""
    assert run([*PLAN, "--turn-step", "0.5"]) == 0
    lines = capsys.readouterr().out.replace("\u00a0", " ").splitlines()
    assert lines[0] == "Sandpiper on Corridor, to go farthest (the resting place counts)"
    assert [line.split()[:2] for line in lines[2:4]] == [["run", "8.5"], ["start", "1.5"]]


def test_which_distance_counts_is_in_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer([*PLAN, "--counts", "furthest", "--turn-step", "0.5"], capsys)
    assert told["counts"] == "furthest"
    assert told["turn_step"] == 0.5
    assert told["furthest_m"] >= told["distance_m"]
    assert told["best"]["distance_m"] >= told["furthest_m"]
    assert told["best"]["gain"] >= 0.0


def test_a_part_of_the_box_is_fitted(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer([*PLAN, "--own-weight-g", "900", "--own-tier-mm", "run=11"], capsys)
    assert "weight 900 g" in told["parts"]
    assert told["gain_m"] > 1.0


def slower() -> Car:
    """The car of the files, whose rolling is a tenth above its car file's."""
    losses = sandpiper().losses
    rolling = 1.1 * losses.rolling_coefficient
    return replace(sandpiper(), losses=replace(losses, rolling_coefficient=rolling))


@pytest.fixture
def files(tmp_path: Path) -> str:
    for i in (0, 1):
        train = true_run(slower(), corridor(), USUAL, seed=i).train
        write_edge_file(tmp_path / f"{i}.csv", train)
    return f"{tmp_path}/0.csv,{tmp_path}/1.csv"


def test_plan_and_predict_with_losses_that_runs_told(
    files: str, capsys: pytest.CaptureFixture[str]
) -> None:
    plain, told = (answer([*PLAN, *more], capsys) for more in ([], ["--runs", files]))
    assert plain["learnt"] == []
    assert told["learnt"] == files.split(",")
    assert told["distance_m"] < 0.97 * plain["distance_m"]
    wide = plain["distance_high_m"] - plain["distance_low_m"]
    assert told["distance_high_m"] - told["distance_low_m"] < 0.6 * wide
    truth = true_run(slower(), corridor()).rest_m
    next_run = answer(["predict", *PLAN[1:], "--runs", files], capsys)
    assert next_run["distance_m"] == pytest.approx(truth, rel=0.01)
    assert next_run["distance_low_m"] < truth < next_run["distance_high_m"]


def test_whose_losses_they_are_is_said(files: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["predict", *PLAN[1:], "--runs", files]) == 0
    assert "losses learned from" in capsys.readouterr().out
    assert run([*PLAN, "--runs", files]) == 0
    assert "losses learned from" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--goal", "fastest"], "--distance: found nothing, expected the mark for fastest"),
        (["--distance", "3"], "--distance: found 3, expected no mark"),
        (["--goal", "reach", "--distance", "-2"], "--distance: found -2"),
        (["--goal", "fastest", "--distance", "90"], "no winding reaches a mark at 90 m"),
        (["--goal", "far"], "--goal takes one of"),
        (
            ["--goal", "reach", "--distance", "3", "--counts", "furthest"],
            "--counts: found furthest",
        ),
        (["--counts", "top"], "--counts takes one of"),
        (["--turn-step", "0"], "--turn-step: found 0"),
        (["--own-tier-mm", "run"], '--own-tier-mm: found "run", expected a tier and its diameter'),
        (["--own-tier-mm", "x=3"], "the drum has no tier 'x'"),
        (["--own-weight-g", "0"], "no size above 0"),
        (["--start-margin", "0.5"], "--start-margin: found 0.5, expected a number of at least 1"),
        (["--runs", ","], '--runs: found ",", expected runs such as 1,2,3'),
        (["--runs", "no.csv"], "no.csv"),
        (["--string-margin", "99"], "the best string margin is"),
    ],
)
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_refusals(
    options: list[str], told: str, form: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*PLAN, *options, *form]) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""


def test_runs_of_another_car_are_said_to_be_so(
    files: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The edge files are of a car of another name and weight; they count as what they are."""
    twin = tmp_path / "twin.toml"
    twin.write_text(SANDPIPER.read_text().replace('name = "Sandpiper"', 'name = "Turnstone"'))
    runs = ["--runs", files, "--runs-car", str(twin)]
    told = answer([*PLAN, *runs], capsys)
    others = [one for one in told["findings"] if one["code"] == "other_car"]
    assert [one["values"]["car"] for one in others] == ["Turnstone", "Turnstone"]
    assert told["learnt"] == files.split(",")
    assert run([*PLAN, *runs]) == 0
    assert "is an attempt of Turnstone" in capsys.readouterr().out
    assert run(["predict", *PLAN[1:], *runs]) == 0
    assert "is an attempt of Turnstone" in capsys.readouterr().out
    card = tmp_path / "card.html"
    assert run(["card", *PLAN[1:], *runs, "--out", str(card)]) == 0
    assert "is an attempt of Turnstone" in card.read_text(encoding="utf-8")


def test_stored_runs_take_no_car_from_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*PLAN, "--runs", "1,2", "--runs-car", str(SANDPIPER)]) == 2
    assert "stored runs have their own cars" in capsys.readouterr().err
