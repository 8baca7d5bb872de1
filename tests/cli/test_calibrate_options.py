"""`unspool calibrate --slope` and `--break-away`, from files as a user has them."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.shell import Done, complaint, here
from unspool.car import load_track
from unspool.reading.edges.edge_file import write_edge_file
from unspool.virtual.demo.scenario import SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three runs up the corridor, whose far end rises."""
    where = tmp_path_factory.mktemp("runs")
    for seed in range(3):
        write_edge_file(where / f"{seed}.csv", true_run(sandpiper(), corridor(), USUAL, seed).train)
    return where


def asked(place: Path, *more: str) -> list[str]:
    files = [str(place / f"{seed}.csv") for seed in range(3)]
    return ["calibrate", *files, "--car", str(SANDPIPER), *more]


def calibrate(place: Path, *more: str) -> Done:
    return here(*asked(place, *more), home=place)


def test_the_floor_is_told_written_and_read_again(place: Path) -> None:
    """The corridor rises by 3.6 mm a metre from 11 m on; nobody said so."""
    done = calibrate(
        place, "--slope", "--break-away", "--track-out", str(place / "t.toml"), "--json"
    )
    assert done.status == 0, done.err
    floor = done.answer["floor"]
    first, *_, last = floor["levels"]
    assert not floor["mean_slope_known"]
    assert (first["height_m"], last["height_m"]) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert min(level["height_m"] for level in floor["levels"]) < -0.007
    assert all(level["low_m"] <= level["height_m"] <= level["high_m"] for level in floor["levels"])
    hold = done.answer["losses"]["break_away_coefficient"]
    assert 0.0 < hold["low"] <= hold["value"] <= hold["high"]
    assert hold["known"] is False
    track = load_track(place / "t.toml")
    assert track.height_m == pytest.approx([one["height_m"] for one in floor["levels"]], abs=6e-6)
    again = calibrate(place, "--track", str(place / "t.toml"))
    assert again.status == 0, again.err


def test_the_text_and_the_page_say_both(place: Path) -> None:
    done = calibrate(place, "--slope", "--break-away", "--html", str(place / "page.html"))
    assert done.status == 0, done.err
    assert "The floor, from these attempts" in done.out
    assert "Break-away coefficient: between" in done.out
    assert "--back" in done.out
    page = (place / "page.html").read_text("utf-8")
    for part in (
        'id="picture-modelled"',
        'id="picture-floor"',
        "Break-away coefficient",
        "rolling",
    ):
        assert part in page
    again = calibrate(place, "--html", str(place / "page.html"))
    assert again.status == 2
    assert "--force" in again.err


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--back", "1=12"], "need --slope"),
        (["--slope", "--back", "7=12"], "'7' is no RUN"),
        (["--slope", "--back", "{run}=far"], "found 'far'"),
        (["--slope", "--back", "{run}"], "no RUN of this command"),
        (["--slope", "--back", "{run}=-3"], "found '-3'"),
        (["--slope", "--track-out", "{run}"], "--force"),
    ],
)
def test_what_cannot_be_is_said_in_a_line(
    place: Path, more: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [word.format(run=place / "1.csv") for word in more]
    assert says in complaint(asked(place, *words), capsys)
