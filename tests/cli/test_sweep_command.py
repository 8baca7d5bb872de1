"""`unspool sweep`, for people and for programs, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from unspool.cli.entry import run
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

SWEEP = ["sweep", str(SANDPIPER), "--track", str(CORRIDOR)]
RANGES = ["--tier", "run=8:20:3", "--weight-g", "400,900"]


def test_a_sweep_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*SWEEP, *RANGES, "--counts", "furthest", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    tier, weight = told["ranges"]
    assert (tier["size"], tier["tier"], tier["unit"]) == ("tier", "run", "m")
    assert tier["values"] == pytest.approx([0.008, 0.014, 0.020])
    assert weight["values"] == pytest.approx([0.4, 0.9])
    assert [len(row) for row in told["distance_m"]] == [2, 2, 2]
    assert told["counts"] == "furthest"
    best = told["best"]
    assert best["values"] == pytest.approx([0.008, 0.9])
    assert best["distance_low_m"] < best["distance_m"] < best["distance_high_m"]
    assert max(max(row) for row in told["score"]) == pytest.approx(told["distance_m"][0][1])
    assert told["limit"] == [["start_margin", "drop"], ["drop", "drop"], ["drop", "drop"]]
    assert told["nearly_best"][1] == {
        "size": "weight", "tier": None, "best": 0.9, "low": 0.9, "high": 0.9, "at_edge": True,
        "next_stopped_by": None,
    }  # fmt: skip


def test_what_is_not_possible_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*SWEEP, "--tier", "run=10,130", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["distance_m"][1] is None
    assert told["score"][1] is None
    assert told["possible"] == [True, False]
    assert told["limit"] == ["drop", "drum"]


def test_a_sweep_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*SWEEP, *RANGES]) == 0
    out = capsys.readouterr().out.replace("\u00a0", " ")
    assert out.startswith("Sandpiper on Corridor, to go farthest (the resting place counts)\n")
    assert "The best set: tier run 8 mm, weight 900 g." in out
    assert "w  winding: all that the drop allows is wound" in out
    assert "hands from under the weight" in out


def test_a_range_has_as_many_steps_as_make_a_map(capsys: pytest.CaptureFixture[str]) -> None:
    ranges = ["--wheel-mm", "100:150", "--wheel-g", "40", "--drop-mm", "400:600", "--json"]
    assert run([*SWEEP, *ranges]) == 0
    wheels, drops = json.loads(capsys.readouterr().out)["ranges"]
    assert len(wheels["values"]) == len(drops["values"]) == 40
    assert (wheels["wheel_kg"], drops["wheel_kg"]) == (0.04, None)


def test_the_page_holds_its_pictures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = tmp_path / "sweep.html"
    assert run([*SWEEP, *RANGES, "--html", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    for part in ("picture-sweep", "picture-limits", "How far each size can be off"):
        assert part in text
    assert run([*SWEEP, *RANGES, "--html", str(page)]) == 2, "it is not replaced"
    assert "exists already" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ([], "nothing to vary"),
        (["--tier", "8:24"], '--tier: found "8:24", expected a tier and a range'),
        (["--tier", "top=8:24"], "the drum has no tier 'top'"),
        (["--weight-g", "900:400"], '--weight-g: found "900:400", expected a range'),
        (["--weight-g", "400:900:1"], "--weight-g"),
        (["--weight-g", "400:900:101"], "--weight-g"),
        (["--weight-g", "much"], "--weight-g"),
        (["--weight-g", "0.4:0.9"], "out of bounds"),
        (["--wheel-mm", "nan:90"], "--wheel-mm"),
        (["--wheel-g", "40", "--weight-g", "400:900"], "--wheel-g: found 40"),
        (["--drop-mm", "400:600", "--goal", "reach"], "--distance: found nothing"),
        (["--drop-mm", "400:600:100", "--tier", "run=8:20:100", "--tier", "start=20:30:3"],
         "30000 sets, more than 20000"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_refusals(
    options: list[str], told: str, form: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*SWEEP, *options, *form]) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""
