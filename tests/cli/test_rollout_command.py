"""`rollout` from files and from the store, for people and for programs; bad input in a sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.shell import unspool
from study.rollout.hand import Hand, push
from unspool.car import parse_car
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.virtual.demo.scenario import SANDPIPER

BY_CAR = f"--car={SANDPIPER}"
TRUE_M = 0.3850
KEYS = {
    "unspool",
    "car",
    "wheel",
    "level",
    "tape_sd_m",
    "circumference_m",
    "nominal_m",
    "verdict",
    "text",
    "values",
    "edges_per_turn",
    "proposed",
    "pushes",
    "findings",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pushes")
    for seed in (1, 2, 3):
        write_edge_file(made / f"p{seed}.csv", push(Hand(circumference_m=TRUE_M), seed, 7))
    write_edge_file(made / "twice.csv", push(Hand(edges=40), 1, 7))
    write_edge_file(made / "far.csv", push(Hand(length_m=3.5), 1, 7))
    (made / "few.csv").write_text("time_s\n1.0\n2.0\n")
    (made / "torn.csv").write_text("time_s,direction\n1.0,1\n0.5,1\n")
    return made


def files(folder: Path) -> list[Path]:
    return [folder / f"p{seed}.csv" for seed in (1, 2, 3)]


def test_for_programs(folder: Path, tmp_path: Path) -> None:
    done = unspool("rollout", *files(folder), BY_CAR, "--length", "5", "--json", home=tmp_path)
    assert (done.status, done.err) == (0, "")
    assert done.out.count("\n") == 1
    assert done.answer.keys() == KEYS
    found = done.answer["circumference_m"]
    assert found["low"] < TRUE_M < found["high"]
    assert found["high"] - found["low"] < 0.006 * TRUE_M
    assert done.answer["nominal_m"] == pytest.approx(0.3882)
    assert done.answer["edges_per_turn"]["by_pattern"] == 20
    assert done.answer["proposed"]["circumference_m"] == found
    assert [one["left_out"] for one in done.answer["pushes"]] == [None] * 3


def test_lines_for_the_car_file_make_a_car(folder: Path, tmp_path: Path) -> None:
    done = unspool("rollout", *files(folder), BY_CAR, "--length", "5", home=tmp_path)
    assert (done.status, done.err) == (0, "")
    line = next(one for one in done.out.splitlines() if one.startswith("rolling_circ"))
    text = SANDPIPER.read_text().replace("rolling_circumference_mm = 388.2", line)
    assert parse_car(text, "car.toml").encoder_wheel.radius_m * 6.283185 == pytest.approx(
        TRUE_M, rel=2e-3
    )
    assert 'the one with name = "rear"' in done.out
    assert "388.2\u00a0mm" in done.out


def test_a_miscounted_disc_and_one_that_nothing_explains(folder: Path, tmp_path: Path) -> None:
    twice = unspool("rollout", folder / "twice.csv", BY_CAR, "--length=5", home=tmp_path)
    assert "pulses_per_turn = 40" in twice.out
    far = unspool("rollout", folder / "far.csv", BY_CAR, "--length=5", "--json", home=tmp_path)
    assert far.status == 0
    assert far.answer["verdict"] == "unexplained"
    assert far.answer["proposed"] is None


def test_stored_pushes_and_a_length_each(folder: Path, tmp_path: Path) -> None:
    for file in files(folder)[:2]:
        assert unspool("import", file, BY_CAR, home=tmp_path).status == 0
    lengths = ["--length=5.0", "--length=5.004"]
    done = unspool("rollout", "1", "2", *lengths, "--json", home=tmp_path)
    assert done.status == 0, done.err
    assert [one["run"] for one in done.answer["pushes"]] == ["run 1", "run 2"]
    assert [one["length_m"] for one in done.answer["pushes"]] == [5.0, 5.004]


def test_page_with_pictures_and_never_over_a_file(folder: Path, tmp_path: Path) -> None:
    page = tmp_path / "rolled.html"
    asked = ["rollout", *files(folder), BY_CAR, "--length=5", f"--html={page}"]
    assert unspool(*asked, home=tmp_path).status == 0
    text = page.read_text(encoding="utf-8")
    assert text.count('id="picture-') == 2
    assert "rolling_circumference_mm = " in text
    refused = unspool(*asked, home=tmp_path)
    assert refused.status == 2
    assert "--force" in refused.complaints[0]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["p1.csv", "--length=5"], "give it with --car"),
        (["p1.csv", BY_CAR], "--length is missing"),
        (["--length=5", BY_CAR], "RUN... is missing"),
        (["p1.csv", BY_CAR, "--length=five"], "--length takes a number"),
        (["p1.csv", BY_CAR, "--length=nan"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=-5"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=5000"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=0.06", "--tape-sd=20"], "push over a longer one"),
        (["p1.csv", BY_CAR, "--length=5", "--tape-sd=-1"], "--tape-sd: found"),
        (["p1.csv", BY_CAR, "--length=5", "--tape-sd=inf"], "--tape-sd: found"),
        (["p1.csv", "p2.csv", "p3.csv", BY_CAR, "--length=5", "--length=4"], "2 times for 3 runs"),
        (["p1.csv", "p1.csv", BY_CAR, "--length=5"], "given twice"),
        (["few.csv", BY_CAR, "--length=5"], "by only 2 edges"),
        (["torn.csv", BY_CAR, "--length=5"], "line 3"),
        (["none.csv", BY_CAR, "--length=5"], "cannot be read"),
        (["9", "--length=5"], "no run '9'"),
    ],
)
def test_bad_input(
    arguments: list[str],
    says: str,
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert run(["rollout", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert err.count("\n") == 1


def test_pushes_of_two_wheels(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(SANDPIPER.read_text().replace("388.2", "390.0"))
    asked = [str(folder / "p1.csv"), str(folder / "p2.csv"), BY_CAR, f"--car={other}"]
    assert run(["rollout", *asked, "--length=5"]) == 2
    assert "has another wheel or disc" in capsys.readouterr().err
