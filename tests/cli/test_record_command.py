"""`demo` and `record`: runs as they happen, by the commands themselves."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path
from threading import Timer

import pytest

from cli.shell import Done, complaint, environment, unspool
from unspool.cli import demo
from unspool.cli.entry import run
from unspool.instrument.link import SerialPort
from unspool.instrument.wire.table import MAX_FRAME
from unspool.store import Store
from unspool.store.rows import Origin
from unspool.virtual.demo.earlier_runs import EARLIER
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

PATIENCE_S = 90.0


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def shown(home: Path) -> Done:
    """The demo as a check runs it: it ends by itself after one run."""
    return unspool(
        *("demo", "--speed", "4", "--no-page", "--store", home / "demo.sqlite"),
        home=home,
        DEMO_RUNS="1",
    )


@pytest.fixture(scope="module")
def heard(shown: Done, home: Path) -> Path:
    """What the demo's board sent, as bare bytes."""
    assert shown.status == 0
    with Store.open(home / "demo.sqlite") as store:
        chunks = store.chunks(store.captures()[-1].id)
    path = home / "heard.bin"
    path.write_bytes(b"".join(chunk.data for chunk in chunks if chunk.origin is Origin.BOARD))
    return path


def test_demo_ends_by_itself_with_a_reading(shown: Done, home: Path) -> None:
    assert (shown.status, shown.err) == (0, "")
    said = shown.out.replace("\u00a0", " ")
    assert "invented cars" in said
    assert "winding: keep hands and feet from under the weight" in said
    assert re.search(r"^Sandpiper, run 11$", said, re.MULTILINE)
    assert re.search(r"^stopped at 13\.\d\d ± 0\.\d\d m", said, re.MULTILINE)
    assert f"app --store {home / 'demo.sqlite'}" in said


def test_demo_keeps_its_run(shown: Done, home: Path) -> None:
    listed = unspool("runs", "--store", home / "demo.sqlite", "--json", home=home)
    *earlier, row = listed.answer["runs"]
    assert (row["car"], row["track"], row["missing"]) == ("Sandpiper", "Corridor", 0)
    # what a new visitor can compare: both cars, with two windings each
    assert {run["car"] for run in earlier} == {"Sandpiper", "Dunlin"}
    assert len(earlier) == len(EARLIER)


def test_second_demo_on_the_same_store_shows_its_own_run(shown: Done, home: Path) -> None:
    again = unspool(
        "demo",
        "--runs",
        "1",
        "--speed",
        "8",
        "--no-page",
        "--store",
        home / "demo.sqlite",
        home=home,
    )
    assert again.status == 0
    assert "Sandpiper, run 12" in again.out
    assert "Sandpiper, run 11" not in again.out


def test_record_finds_the_run_in_what_a_board_sent(heard: Path, tmp_path: Path) -> None:
    done = unspool(
        *("record", "--replay", heard, "--speed", "0", "--car", SANDPIPER, "--track", CORRIDOR),
        *("--store", tmp_path / "mine.sqlite", "--no-page"),
        home=tmp_path,
    )
    assert (done.status, done.err) == (0, "")
    assert "run 1: stopped at 13." in done.out
    read = unspool("analyse", "1", "--store", tmp_path / "mine.sqlite", "--json", home=tmp_path)
    assert read.answer["distance_m"] == pytest.approx(13.42, abs=0.02)


def test_record_of_noise_keeps_it_and_finds_no_run(tmp_path: Path) -> None:
    noise = tmp_path / "noise.bin"
    noise.write_bytes(bytes((i * 97 + i // 7) % 256 for i in range(3000)))
    done = unspool(
        *("record", "--replay", noise, "--car", SANDPIPER, "--no-page"),
        *("--store", tmp_path / "mine.sqlite"),
        home=tmp_path,
    )
    assert done.status == 2
    assert "came from a board of unspool" in done.err
    with Store.open(tmp_path / "mine.sqlite") as store:
        (capture,) = store.captures()
        zeros = noise.read_bytes().count(0)
        # of what each zero ends, as much as shows that it is no frame
        kept = zeros * (MAX_FRAME + 1)
        assert (capture.size_bytes, capture.stray_bytes) == (kept, 3000 - zeros)
        assert [chunk.origin for chunk in store.chunks(1)] == [Origin.STRAY]


def ended_by(
    stop: signal.Signals, home: Path, *arguments: str | Path, look: str
) -> tuple[int, str, str]:
    """Runs a command until `look` appears in its output, then sends it the signal."""
    with subprocess.Popen(
        [sys.executable, "-m", "unspool", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(home),
    ) as process:
        rescue = Timer(PATIENCE_S, process.kill)
        rescue.start()
        assert process.stdout is not None
        said = ""
        for line in process.stdout:
            said += line
            if look in line:
                break
        if "track: http" in said:
            address = said.split("track: ")[1].split()[0]
            with urllib.request.urlopen(address, timeout=30) as page:
                said += page.read().decode()
        process.send_signal(stop)
        out, err = process.communicate()
        rescue.cancel()
    return process.returncode, said + out, err


def test_demo_serves_its_page_until_a_signal_ends_it(tmp_path: Path) -> None:
    """Of the other signals, test_stopping.py and test_app_command.py try each."""
    shown = ("demo", "--port", "0", "--store", tmp_path / "demo.sqlite")
    status, said, err = ended_by(signal.SIGINT, tmp_path, *shown, look="board: ")
    assert (status, err) == (0, "")
    assert "track: http://127.0.0.1:" in said
    assert "<title>unspool</title>" in said
    assert "ready to wind" in said
    assert "stopped" in said.splitlines()


RECORD = ["record", "--car", str(SANDPIPER), "--no-page"]


def test_port_that_does_not_exist(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store = ["--store", str(tmp_path / "s.sqlite")]
    err = complaint([*RECORD, "--cable", "/dev/ttyNONE", *store], capsys)
    assert "there is no port /dev/ttyNONE" in err


@pytest.mark.parametrize(
    ("ways", "says"),
    [
        (["--cable", ""], "--cable names no port"),
        (["--car", str(SANDPIPER), "--cable", "COM3"], "2 cars for 1 board;"),
        (["--all"], "leave --car out"),
        (["--all", "--cable", "COM3"], "leave --cable out"),
        (["--replay", "run.bin", "--radio", "Sandpiper"], "in place of a board"),
        (["--radio-rate", "2000"], "need --radio"),
        (["--radio", "Sandpiper", "--radio-rate", "5"], "--radio-rate: found 5"),
        (["--radio", "Sandpiper", "--radio-write", "FFE"], "--radio-write: found FFE"),
        (["--radio", ""], "--radio: found nothing"),
    ],
)
def test_ways_that_lead_to_no_board(
    ways: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*RECORD, *ways, "--store", str(tmp_path / "s.sqlite")]) == 2
    assert says in capsys.readouterr().err
    assert not (tmp_path / "s.sqlite").exists()


@pytest.mark.parametrize(
    ("ports", "says"),
    [
        ([], "no board is plugged in"),
        ([("ttyA", True), ("ttyB", True), ("ttyC", False)], "of ttyA, ttyB"),
        ([("/dev/ttyNONE", True), ("ttyC", False)], "there is no port /dev/ttyNONE"),
        ([("/dev/ttyNONE", False)], "there is no port /dev/ttyNONE"),
    ],
)
def test_the_one_likely_port_is_taken(
    ports: list[tuple[str, bool]],
    says: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    there = [SerialPort(device, "a board", likely) for device, likely in ports]
    monkeypatch.setattr("unspool.instrument.link.ports.list_ports", lambda: there)
    assert run([*RECORD, "--store", str(tmp_path / "s.sqlite")]) == 2
    assert says in capsys.readouterr().err


def test_replay_of_no_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gone = str(tmp_path / "none.bin")
    err = complaint([*RECORD, "--replay", gone, "--store", str(tmp_path / "s.sqlite")], capsys)
    assert "none.bin cannot be read" in err


def test_faulty_car_is_refused_before_anything_is_opened(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    car = tmp_path / "car.toml"
    car.write_text(SANDPIPER.read_text().replace("count = 2", "count = 0"))
    assert run(["record", "--cable", "/dev/ttyNONE", "--car", str(car), "--no-page"]) == 2
    assert "wheels[0].count: found 0" in capsys.readouterr().err


def test_page_port_that_is_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import socket

    noise = tmp_path / "noise.bin"
    noise.write_bytes(b"noise")
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        taken = str(other.getsockname()[1])
        record = ["record", "--car", str(SANDPIPER), "--replay", str(noise), "--port", taken]
        err = complaint([*record, "--store", str(tmp_path / "s.sqlite")], capsys)
    assert f"port {taken} is taken" in err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["demo", "--runs", "0"], "--runs takes a number of at least 1"),
        (["demo", "--speed", "-2", "--no-page"], "found -2"),
        (["demo", "--board", "wood"], "--board takes one of 'python', 'firmware', not 'wood'"),
    ],
)
def test_demo_that_cannot_be(
    arguments: list[str],
    says: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert run(arguments) == 2
    assert says in capsys.readouterr().err


@pytest.mark.parametrize(
    ("on_the_path", "started_as", "typed"),
    [
        (True, ".venv/bin/unspool", "unspool"),
        (False, ".venv/bin/unspool", ".venv/bin/unspool"),
        (False, "host/unspool/__main__.py", "unspool"),
    ],
)
def test_the_demo_names_a_command_that_works(
    on_the_path: bool, started_as: str, typed: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shutil.which", lambda _: "/usr/bin/unspool" if on_the_path else None)
    monkeypatch.setattr("sys.argv", [started_as, "demo"])
    assert demo._own_command() == typed
