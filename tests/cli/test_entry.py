"""Exit statuses and the two streams, whatever goes wrong."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from cli.shell import environment, unspool
from unspool import __version__
from unspool.cli import commands, entry
from unspool.errors import InputError, LinkError


def failing_with(error: BaseException, monkeypatch: pytest.MonkeyPatch) -> int:
    def fail() -> None:
        raise error

    monkeypatch.setattr(commands.app, "registered_commands", [])
    commands.app.command("fail")(fail)
    commands.app.command("other")(lambda: None)
    return entry.run(["fail"])


def test_version(tmp_path: Path) -> None:
    done = unspool("--version", home=tmp_path)
    assert (done.status, done.out, done.err) == (0, f"unspool {__version__}\n", "")


def test_the_package_is_the_command_too(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "unspool", "--version"],
        capture_output=True,
        text=True,
        check=True,
        env=environment(tmp_path),
    )
    assert done.stdout == f"unspool {__version__}\n"


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    code = "import unspool.cli.commands, sys; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env=environment(tmp_path),
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    assert "typer" in loaded
    assert not loaded & {"numpy", "pandas", "plotly", "dash", "sqlalchemy", "scipy", "reportlab"}


def test_help_lists_the_commands(tmp_path: Path) -> None:
    done = unspool("--help", home=tmp_path)
    assert done.status == 0
    assert "part" in done.out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["parts"], "there is no command parts (did you mean part or cars?)"),
        (["part", "disc"], "--out is missing"),
        (["part", "disc", "--slots", "ten"], "--slots takes a whole number"),
        (["part", "disc", "--slots", "10", "--disc-mm", "wide"], "--disc-mm takes a number"),
        (["part", "disc", "--slot", "10"], "there is no option --slot here"),
        (["--loud"], "there is no option --loud here"),
    ],
)
def test_wrong_command_line_is_one_sentence(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert entry.run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"unspool: {says}")
    assert err.count("\n") == 1
    assert "--help" in err


def test_input_at_fault_is_two(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = "car.toml cannot be used:\n  body.mass_g: found -3, expected above 0"
    assert failing_with(InputError(text), monkeypatch) == 2
    assert capsys.readouterr().err.splitlines() == [
        "unspool: car.toml cannot be used:",
        "  body.mass_g: found -3, expected above 0",
    ]


def test_link_at_fault_is_two(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert failing_with(LinkError("the port is gone"), monkeypatch) == 2
    assert capsys.readouterr().err == "unspool: the port is gone\n"


def test_own_fault_is_one_and_leaves_a_log(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr("unspool.cli.crash_log.user_log_path", lambda *_, **__: tmp_path / "log")
    assert failing_with(ZeroDivisionError("by nothing"), monkeypatch) == 1
    (err,) = capsys.readouterr().err.splitlines()
    (log,) = (tmp_path / "log").iterdir()
    assert str(log) in err
    assert "ZeroDivisionError: by nothing" in err
    assert "Traceback (most recent call last)" in log.read_text()
    assert "arguments: ['fail']" in log.read_text()


def test_own_fault_without_a_place_for_logs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.touch()
    monkeypatch.setattr("unspool.cli.crash_log.user_log_path", lambda *_, **__: blocked / "log")
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(blocked))
    assert failing_with(RuntimeError("oh"), monkeypatch) == 1
    assert "No log file could be written" in capsys.readouterr().err


def test_interrupt(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert failing_with(KeyboardInterrupt(), monkeypatch) == 130
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    "writer",
    [
        "from unspool.cli import main; main()",
        "from unspool.cli import commands, entry, streams\n"
        "commands.app.command('say')(lambda: streams.console().print('text'))\n"
        "raise SystemExit(entry.run(['say']))",
        "from unspool.cli import commands, entry, streams\n"
        "commands.app.command('say')(lambda: streams.print_json({'unspool': 1}))\n"
        "raise SystemExit(entry.run(['say']))",
    ],
    ids=["help", "words", "json"],
)
def test_reader_that_goes_away_is_no_error(writer: str, tmp_path: Path) -> None:
    with subprocess.Popen(
        [
            sys.executable,
            "-c",
            f"import time; time.sleep(0.5)\n{writer}",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(tmp_path, PYTHONUNBUFFERED="1"),
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        err = process.stderr.read()
        assert process.wait(60) == 0
    assert err == b""


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_help_in_any_encoding(encoding: str, tmp_path: Path) -> None:
    done = unspool("part", "--help", home=tmp_path, encoding=encoding)
    assert done.status == 0
    assert "--disc-mm" in done.out
    assert done.err == ""


def test_no_colour_codes_in_a_pipe(tmp_path: Path) -> None:
    assert "\x1b" not in unspool("part", "--help", home=tmp_path).out


def test_full_output_is_not_our_fault(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "unspool", "--help"],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            env=environment(tmp_path),
        )
    assert done.returncode == 2
    assert b"standard output cannot be written (No space left on device)" in done.stderr
    assert done.stderr.count(b"\n") == 1


def test_other_failures_of_the_system_are_ours(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr("unspool.cli.crash_log.user_log_path", lambda *_, **__: tmp_path / "log")
    assert failing_with(FileNotFoundError(2, "No such file", "x.toml"), monkeypatch) == 1
    assert "FileNotFoundError" in capsys.readouterr().err


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams(closed: str, tmp_path: Path) -> None:
    done = subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -m unspool --version {closed}'],
        capture_output=True,
        check=False,
        env=environment(tmp_path),
    )
    assert done.returncode == 0
    assert done.stderr == b""


def test_a_recording_without_pages_does_without_their_libraries(tmp_path: Path) -> None:
    code = "import sys; from unspool.app import LiveBoards, Recordings; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env=environment(tmp_path),
    ).stdout.split()
    assert "unspool.app.recordings" in loaded
    assert not {"dash", "fastapi", "uvicorn", "plotly", "scipy.stats"} & set(loaded)
