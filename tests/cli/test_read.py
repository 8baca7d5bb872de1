"""`analyse` and `predict` from files and from the store, for people and for programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.shell import unspool
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import Imperfections, TrueRun
from unspool.virtual.truth import run as true_run

BY_FILE = ["--car", str(SANDPIPER), "--track", str(CORRIDOR)]
# What scripts rely on, by docs/formats.md.
READING_KEYS = {
    "unspool",
    "car",
    "edges",
    "distance_m",
    "furthest_m",
    "duration_s",
    "peak_speed_m_s",
    "peak_at_m",
    "events",
    "findings",
    "energy_j",
    "stretches",
}
PREDICTION_KEYS = {
    "unspool",
    "starts",
    "start_margin",
    "distance_m",
    "distance_low_m",
    "distance_high_m",
    "furthest_m",
    "duration_s",
    "peak_speed_m_s",
    "release_m",
    "events",
    "energy_j",
    "string",
    "traction_margin",
    "tipping_margin",
}
ENERGY_KEYS = {
    "stored",
    "left_in_weight",
    "drive",
    "catches",
    "landing",
    "rolling",
    "air",
    "grade",
    "kinetic",
    "unexplained",
}


@pytest.fixture(scope="module")
def truth() -> TrueRun:
    imperfections = Imperfections(slot_sd=0.02, jitter_s=50e-6, tick_s=0.5e-6)
    return true_run(sandpiper(), corridor(), imperfections, seed=11)


@pytest.fixture(scope="module")
def edges(truth: TrueRun, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("edges") / "run.csv"
    write_edge_file(path, truth.train)
    return path


def answer(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """The one JSON object, holding neither NaN nor infinity, and nothing said besides."""
    assert run([*arguments, "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.count("\n") == 1
    found = json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    assert found["unspool"] == 1
    return dict(found)


def test_analysed_run_agrees_with_the_truth(
    edges: Path, truth: TrueRun, capsys: pytest.CaptureFixture[str]
) -> None:
    read = answer(["analyse", str(edges), *BY_FILE], capsys)
    assert read.keys() >= READING_KEYS
    assert read["energy_j"].keys() == ENERGY_KEYS
    slot = sandpiper().metres_per_edge
    assert read["distance_m"] == pytest.approx(truth.rest_m, abs=slot / 2)
    assert read["edges"]["count"] == len(truth.train)
    kinds = [event["kind"] for event in read["events"]]
    assert kinds == ["launch", "tier_change", "release", "stop"]
    for event, happened in zip(read["events"], truth.events, strict=True):
        assert event["time_s"] == pytest.approx(happened.time_s, abs=0.05)
        assert event["distance_m"] == pytest.approx(happened.distance_m, abs=slot)
    change = read["events"][1]
    assert (change["from"], change["to"]) == ("start", "run")


def test_stored_run_reads_as_its_file_does(
    edges: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = ["--store", str(tmp_path / "store.sqlite")]
    assert run(["import", str(edges), *BY_FILE, *store]) == 0
    capsys.readouterr()
    by_file = answer(["analyse", str(edges), *BY_FILE], capsys)
    assert answer(["analyse", "1", *store], capsys) == by_file


def test_other_car_wins_over_the_stored_one(
    edges: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = ["--store", str(tmp_path / "store.sqlite")]
    assert run(["import", str(edges), *BY_FILE, *store]) == 0
    other = tmp_path / "other.toml"
    text = SANDPIPER.read_text().replace("Sandpiper", "Stint", 2).replace("388.2", "776.4")
    other.write_text(text)
    capsys.readouterr()
    own = answer(["analyse", "1", *store], capsys)
    read = answer(["analyse", "1", "--car", str(other), *store], capsys)
    assert read["car"] == "Stint"
    assert read["distance_m"] == pytest.approx(2.0 * own["distance_m"], rel=1e-2)


def test_reading_for_people(edges: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["analyse", str(edges), *BY_FILE]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.startswith(f"Sandpiper, {edges}\nstopped at 14.")
    assert "█" in out


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_reading_in_a_poor_terminal(edges: Path, encoding: str, tmp_path: Path) -> None:
    done = unspool("analyse", edges, *BY_FILE, home=tmp_path, encoding=encoding, COLUMNS="40")
    assert done.status == 0
    assert done.err == ""
    assert "###" in done.out
    assert "?" not in done.out


def test_edge_file_without_its_car(edges: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["analyse", str(edges), "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "give it with --car" in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "the file is empty"),
        ("time_s,direction\n", "no edge"),
        ("time_s,direction\n1.0,1\n0.5,1\n", "line 3"),
        ("time_s,direction\n1.0,1\n1.5", "line 3"),
        ("time_s,direction\n1.0,1\nnan,1\n", "line 3"),
    ],
)
def test_edge_file_that_cannot_be_used(
    content: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(content)
    assert run(["analyse", str(path), *BY_FILE, "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("count", [1, 2, 3, 9])
def test_too_few_edges_is_a_reading_and_no_failure(
    count: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "few.csv"
    path.write_text("time_s\n" + "".join(f"{0.5 * n:.3f}\n" for n in range(count)))
    read = answer(["analyse", str(path), *BY_FILE], capsys)
    assert read["edges"]["count"] == count
    assert run(["analyse", str(path), *BY_FILE]) == 0


def test_run_that_the_store_lacks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Store.open(tmp_path / "store.sqlite").close()
    assert run(["analyse", "9", "--store", str(tmp_path / "store.sqlite"), "--json"]) == 2
    assert "no run '9'" in capsys.readouterr().err


def test_prediction_for_programs(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(["predict", str(SANDPIPER), "--track", str(CORRIDOR)], capsys)
    assert found.keys() >= PREDICTION_KEYS
    assert found["energy_j"].keys() == ENERGY_KEYS
    assert found["string"].keys() == {"peak_tension_n", "margin"}
    assert found["starts"] is True
    assert found["distance_low_m"] < found["distance_m"] < found["distance_high_m"]
    # m g h = 0.640 kg * 9.80665 m/s2 * 0.560 m
    assert found["energy_j"]["stored"] == pytest.approx(3.51470, abs=1e-5)


def test_unknown_margins_are_null(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    car = tmp_path / "car.toml"
    lines = SANDPIPER.read_text().splitlines()
    hidden = ("wheelbase", "centre_of_mass", "breaking_load")
    car.write_text("\n".join(line for line in lines if not line.startswith(hidden)))
    found = answer(["predict", str(car)], capsys)
    assert found["string"]["margin"] is None
    assert found["traction_margin"] is None
    assert found["tipping_margin"] is None


def test_prediction_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["predict", str(SANDPIPER)]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Sandpiper on flat, predicted\nstops at")
    assert "hands from under the weight" in out


def test_prediction_of_a_faulty_car_tells_each_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    car = tmp_path / "car.toml"
    text = SANDPIPER.read_text().replace("mass_g = 910", "mass_g = -1")
    car.write_text(text.replace("turns = 3.5", 'turns = "some"') + "\n[engine]\n")
    assert run(["predict", str(car), "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    for path in ("body.mass_g", "drum[0].turns", "engine"):
        assert f"{path}: found" in err


def test_car_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["predict", str(tmp_path / "none.toml"), "--json"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
