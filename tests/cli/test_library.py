"""`import`, `runs`, `export` and `links`: runs into the store and out of it."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sample_run import sample_motion
from unspool.cli.entry import run
from unspool.reading.edges.ending import Ending
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

EDGES = "time_s,direction\n" + "".join(f"{0.1 * n:.6f},1\n" for n in range(40))


class Bench:
    """A folder with a store, an edge file and the means to run commands on them."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self.store = folder / "store.sqlite"
        self.edges = folder / "run.csv"
        self.edges.write_text(EDGES)
        self._capsys = capsys

    def run(self, *arguments: str | Path, status: int = 0) -> tuple[str, list[str]]:
        """Standard output and the lines of standard error of one command."""
        self._capsys.readouterr()
        got = run([str(a) for a in arguments] + ["--store", str(self.store)])
        out, err = self._capsys.readouterr()
        assert "Traceback" not in err
        assert got == status, err
        return out, err.splitlines()

    def json(self, *arguments: str | Path) -> dict[str, Any]:
        out, err = self.run(*arguments, "--json")
        assert err == []
        answer = json.loads(out)
        assert answer["unspool"] == 1
        return dict(answer)


@pytest.fixture
def bench(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Bench:
    return Bench(tmp_path, capsys)


def test_import_then_list_then_export(bench: Bench) -> None:
    added = bench.json("import", bench.edges, "--car", SANDPIPER, "--track", CORRIDOR)
    assert (added["run"], added["already_there"], added["edges"]) == ("1", False, 40)
    (row,) = bench.json("runs")["runs"]
    assert (row["id"], row["car"], row["track"], row["edges"]) == ("1", "Sandpiper", "Corridor", 40)
    copy = bench.folder / "copy.csv"
    bench.run("export", "1", "--csv", copy)
    times = [line.split(",")[0] for line in copy.read_text().splitlines() if line[0].isdigit()]
    assert [float(t) for t in times] == [float(f"{0.1 * n:.6f}") for n in range(40)]


def test_lost_edges_and_the_ending_survive_export_and_import(tmp_path: Path) -> None:
    train = replace(sample_motion().train, lost_before=12, ending=Ending.EDGES_LOST)
    one, other, copy = tmp_path / "one", tmp_path / "other", tmp_path / "copy.csv"
    with Store.open(one) as store:
        store.add_import(train, SANDPIPER.read_text("utf-8"), source="a")
    assert run(["export", "1", "--csv", str(copy), "--store", str(one)]) == 0
    assert run(["import", str(copy), "--car", str(SANDPIPER), "--store", str(other)]) == 0
    with Store.open(other) as store:
        again = store.run("1").train
    assert (again.lost_before, again.ending) == (12, Ending.EDGES_LOST)
    assert again.time_s.tolist() == train.time_s.tolist()


def test_the_same_import_twice_adds_nothing(bench: Bench) -> None:
    bench.run("import", bench.edges, "--car", SANDPIPER)
    out, err = bench.run("import", bench.edges, "--car", SANDPIPER)
    assert out.startswith("The store has this run already, as run 1")
    assert err == []
    assert len(bench.json("runs")["runs"]) == 1


def test_list_for_people(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "300")  # so that the path of any temporary folder fits
    bench.run("import", bench.edges, "--car", SANDPIPER)
    out, _ = bench.run("runs")
    heading, line = out.splitlines()
    assert heading.split() == ["run", "when", "car", "track", "edges", "from"]
    assert line.split()[0] == "1"
    assert "Sandpiper" in line


def test_empty_list_says_how_to_fill_it(bench: Bench) -> None:
    Store.open(bench.store).close()
    out, (line,) = bench.run("runs")
    assert out == ""
    assert "has no runs yet" in line
    assert bench.json("runs")["runs"] == []


def test_a_name_is_never_taken_for_markup(bench: Bench) -> None:
    car = bench.folder / "car.toml"
    car.write_text(SANDPIPER.read_text().replace('"Sandpiper"', '"[red]Sand[/red]"'))
    bench.run("import", bench.edges, "--car", car)
    assert "[red]Sand[/red]" in bench.run("runs")[0]


def test_export_never_overwrites_unless_forced(bench: Bench) -> None:
    bench.run("import", bench.edges, "--car", SANDPIPER)
    taken = bench.folder / "mine.csv"
    taken.write_text("mine")
    _, (line,) = bench.run("export", "1", "--csv", taken, status=2)
    assert "--force" in line
    assert taken.read_text() == "mine"
    bench.run("export", "1", "--csv", taken, "--force")
    assert taken.read_text() != "mine"


def test_export_where_nothing_can_be_written(bench: Bench) -> None:
    bench.run("import", bench.edges, "--car", SANDPIPER)
    _, (line,) = bench.run("export", "1", "--csv", "/proc/run.csv", status=2)
    assert "/proc/run.csv" in line
    assert "cannot be written" in line


def test_run_that_is_not_there(bench: Bench) -> None:
    Store.open(bench.store).close()
    _, (line,) = bench.run("export", "7", "--csv", bench.folder / "x.csv", status=2)
    assert "no run '7'" in line


def test_store_that_is_not_there_is_not_made_by_reading(bench: Bench) -> None:
    _, (line,) = bench.run("runs", status=2)
    assert "there is no store at" in line
    assert not bench.store.exists()


def test_store_in_a_place_that_cannot_be_written(bench: Bench) -> None:
    bench.store = Path("/proc/unspool.sqlite")
    _, (line,) = bench.run("import", bench.edges, "--car", SANDPIPER, status=2)
    assert "/proc/unspool.sqlite cannot be opened" in line


def test_store_that_is_no_store(bench: Bench) -> None:
    bench.store.write_bytes(b"something else entirely, and long enough to be looked at" * 40)
    _, (line,) = bench.run("runs", status=2)
    assert "is not a store" in line


def test_locked_store(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    Store.open(bench.store).close()
    monkeypatch.setattr(Store.open.__func__, "__defaults__", (None, 0.05))
    other = sqlite3.connect(bench.store, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        _, (line,) = bench.run("import", bench.edges, "--car", SANDPIPER, status=2)
    finally:
        other.close()
    assert "is locked by another program" in line
    assert bench.json("runs")["runs"] == []


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "the file is empty"),
        ("time_s,direction\n", "no edge after it"),
        ("time_s,direction\n0.1,1\n0.2,", "line 3"),
        ("time_s,direction\n0.2,1\n0.1,1\n", "line 3"),
        ("time_s,direction\n0.1,1\nsoon,1\n", "line 3"),
        ("0.1,1\n0.2,1\n", "the header is missing"),
    ],
)
def test_edge_file_that_cannot_be_used(bench: Bench, content: str, says: str) -> None:
    bench.edges.write_text(content)
    _, (line,) = bench.run("import", bench.edges, "--car", SANDPIPER, status=2)
    assert str(bench.edges) in line
    assert says in line
    assert not bench.store.exists()


def test_edge_file_that_is_not_there(bench: Bench) -> None:
    bench.run("import", bench.folder / "none.csv", "--car", SANDPIPER, status=2)


def test_car_file_with_ten_faults(bench: Bench) -> None:
    car = bench.folder / "car.toml"
    text = SANDPIPER.read_text()
    for right, wrong in (
        ("mass_g = 910", "mass_g = -910"),
        ("frontal_area_cm2 = 180", 'frontal_area_cm2 = "wide"'),
        ("wheelbase_mm = 340", "wheelbase_mm = 0"),
        ("drop_mm = 560", "drop_mm = -1"),
        ("breaking_load_n = 150", "breaking_load_n = 0"),
        ("driven = true", "driven = 1"),
        ("turns = 3.5", "turns = 0"),
        ("pulses_per_turn = 20", "pulses_per_turn = 0"),
        ("drive_efficiency = 0.92", "drive_efficiency = 1.2"),
        ("tyre_friction = 0.6", "tire_friction = 0.6"),
    ):
        assert right in text
        text = text.replace(right, wrong)
    car.write_text(text)
    _, lines = bench.run("import", bench.edges, "--car", car, status=2)
    told = "\n".join(lines)
    for path in (
        "body.mass_g",
        "body.frontal_area_cm2",
        "body.wheelbase_mm",
        "weight.drop_mm",
        "string.breaking_load_n",
        "wheels[0].driven",
        "drum[0].turns",
        "encoder.pulses_per_turn",
        "losses.drive_efficiency",
        "losses.tire_friction",
    ):
        assert f"{path}: found " in told
    assert not bench.store.exists()


def test_links_as_json(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    from unspool.instrument.link import SerialPort

    port = SerialPort("/dev/ttyX", "a board", True)
    monkeypatch.setattr("unspool.instrument.link.list_ports", lambda: [port])
    assert run(["links", "--no-radio", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "unspool": 1,
        "cables": [{"cable": "/dev/ttyX", "description": "a board", "likely": True}],
        "radios": [],
        "radio_fault": None,
    }
    assert run(["links", "--no-radio"]) == 0
    assert "/dev/ttyX" in capsys.readouterr().out


def test_no_links_at_all(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("unspool.instrument.link.list_ports", list)
    assert run(["links", "--no-radio"]) == 0
    assert "no serial port could be a board" in capsys.readouterr().err


def test_the_motion_of_a_run_is_written_as_a_table(bench: Bench) -> None:
    bench.run("import", bench.edges, "--car", SANDPIPER)
    for run_name, car in (("1", ()), (bench.edges, ("--car", SANDPIPER))):
        out = bench.folder / "motion.csv"
        _, (said,) = bench.run("export", run_name, "--motion", out, "--force", *car)
        head, *rows = out.read_text().splitlines()
        assert head.split(",")[:4] == ["run", "time_s", "distance_m", "speed_m_s"]
        assert {row.split(",")[0] for row in rows} == {str(run_name)}
        assert said.endswith(f"{len(rows)} rows")
    out = bench.folder / "motion.parquet"
    bench.run("export", "1", "--motion", out, "--csv", bench.folder / "edges.csv")
    assert out.read_bytes()[:4] == b"PAR1"
    assert (bench.folder / "edges.csv").exists()


def test_export_wants_to_know_what(bench: Bench) -> None:
    bench.run("import", bench.edges, "--car", SANDPIPER)
    _, (line,) = bench.run("export", "1", status=2)
    assert "--csv FILE" in line
    assert "--motion FILE" in line
