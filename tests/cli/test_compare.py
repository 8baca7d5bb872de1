"""`compare` from files and from the store, for people, programs and spreadsheets."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from cli.shell import complaint, here
from unspool.finding import warning
from unspool.reading.edges.edge_file import write_edge_file
from unspool.render.words.findings import sentence
from unspool.study.compare import ComparisonCode
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two edge files of one winding and one of another, with their car files."""
    made = tmp_path_factory.mktemp("runs")
    text = SANDPIPER.read_text()
    (made / "a.toml").write_text(text)
    (made / "b.toml").write_text(text.replace("turns = 3.5", "turns = 2.5"))
    for name, turns, seed in (("a1", 3.5, 1), ("a2", 3.5, 2), ("b1", 2.5, 3)):
        train = true_run(sandpiper().wound((turns, 5.3)), corridor(), USUAL, seed).train
        write_edge_file(made / f"{name}.csv", train)
    return made


def _compare(folder: Path, home: Path, *more: str | Path) -> list[str | Path]:
    files: list[str | Path] = [folder / f"{name}.csv" for name in ("a1", "b1", "a2")]
    cars = [f"--car={folder / name}.toml" for name in "aba"]
    return ["compare", *files, *cars, f"--track={CORRIDOR}", *more]


def test_files_for_programs_and_spreadsheets(folder: Path, tmp_path: Path) -> None:
    table = tmp_path / "runs.csv"
    done = here(*_compare(folder, tmp_path, "--json", "--csv", table), home=tmp_path)
    assert done.status == 0, done.err
    assert done.err == f"unspool: {table}: 3 runs\n"
    groups = done.answer["groups"]
    assert [len(group["runs"]) for group in groups] == [2, 1]
    distance = groups[0]["quantities"]["distance_m"]
    assert distance["low"] < distance["mean"] < distance["high"]
    assert groups[1]["quantities"]["distance_m"]["sd"] is None
    verdicts = {d["verdict"] for d in done.answer["differences"]}
    assert verdicts == {"unknown"}
    rows = list(csv.DictReader(table.open(newline="", encoding="utf-8")))
    assert [float(row["distance_m"]) for row in rows[:2]] == distance["values"]


def test_for_people_and_never_over_a_file(folder: Path, tmp_path: Path) -> None:
    done = here(*_compare(folder, tmp_path), home=tmp_path)
    assert done.status == 0, done.err
    assert "3.5 start + 5.3 run (" in done.out
    assert "2.5 start + 5.3 run against 3.5 start + 5.3 run" in done.out
    caution = sentence(warning(ComparisonCode.ONE_RUN, group="2.5 start + 5.3 run"))
    assert caution in " ".join(done.out.split())
    (tmp_path / "there.csv").write_text("mine")
    refused = here(*_compare(folder, tmp_path, "--csv", tmp_path / "there.csv"), home=tmp_path)
    assert refused.status == 2
    assert "--force" in refused.complaints[-1]
    assert (tmp_path / "there.csv").read_text() == "mine"


def test_stored_runs(folder: Path, tmp_path: Path) -> None:
    for name, car in (("a1", "a"), ("b1", "b")):
        kept = here("import", folder / f"{name}.csv", f"--car={folder / car}.toml", home=tmp_path)
        assert kept.status == 0, kept.err
    done = here("compare", "1", "2", "--by", "car", "--json", home=tmp_path)
    assert done.status == 0, done.err
    assert [group["runs"] for group in done.answer["groups"]] == [["run 1", "run 2"]]
    mixed = next(f for f in done.answer["findings"] if f["code"] == "mixed_group")
    assert mixed["values"]["aspect"] == "winding"
    assert mixed["text"] in done.answer["cautions"]


@pytest.mark.parametrize("more", [["--by", "colour"], ["--in-turn"], ["99"]])
def test_faults_are_said_in_a_sentence(more: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert complaint(["compare", *more], capsys).startswith("unspool: ")
