"""`unspool contest`: from a file of cars to results on paper."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.shell import complaint
from unspool.cli.entry import run
from unspool.judging import Judge
from unspool.store import Store

CARS = "team,car,weight_g,forecast\nReed,Sandpiper,1550,12.5\nSedge,Dunlin,900,\n"


def test_a_contest_from_its_cars_to_its_results(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store, cars = ["--store", str(tmp_path / "s.sqlite")], tmp_path / "cars.csv"
    cars.write_text(CARS)
    assert run(["contest", "make", "Cup", "--entries", str(cars), *store]) == 0
    assert run(["contest", "order", "1", "--seed", "reed", *store]) == 0
    assert "seed reed" in capsys.readouterr().out
    with Store.open(tmp_path / "s.sqlite") as opened:
        judge = Judge(opened, "1", "Ada")
        entry = min(judge.contest.entries)
        judge.tape(entry, 1, "12.61")
    assert run(["contest", "results", "1", "--json", *store]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["seed"] == "reed"
    assert [row["score"] for row in answer["classes"][0]["rows"]] == [12.61, None]
    assert answer["forecasts"][0]["error"] == 0.11
    for sheet in ("entries", "attempts", "results", "certificates", "log"):
        out = tmp_path / f"{sheet}.pdf"
        assert run(["contest", "export", "1", sheet, "--out", str(out), *store]) == 0
        assert out.read_bytes().startswith(b"%PDF")
    assert run(["contest", "results", "1", *store]) == 0
    assert "Sandpiper" in capsys.readouterr().out


@pytest.mark.parametrize(
    "cars", ["", "name\nx\n", "team,car\na,b,c,d\n", "team,car\n,b\n", "team,car\na,b\nA,B\n"]
)
def test_a_table_of_cars_at_fault_is_refused(
    tmp_path: Path, cars: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "cars.csv"
    file.write_text(cars)
    store = str(tmp_path / "s.sqlite")
    complaint(["contest", "make", "Cup", "--entries", str(file), "--store", store], capsys)
    with Store.open(tmp_path / "s.sqlite") as opened:
        assert opened.contests.listed() == []


@pytest.mark.parametrize(
    "arguments",
    [["results", "7"], ["export", "1", "nothing", "--out", "x.pdf"], ["order", "x"]],
)
def test_what_is_not_there_is_refused(
    tmp_path: Path, arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with Store.open(tmp_path / "s.sqlite"):
        pass
    complaint(["contest", *arguments, "--store", str(tmp_path / "s.sqlite")], capsys)
