"""`unspool access`: give a PIN, list who has one, take it away."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from cheap_pins import cheap
from cli.shell import complaint
from unspool.cli import access
from unspool.cli.entry import run
from unspool.pins import opened_by
from unspool.store import Store

__all__ = ["cheap"]
pytestmark = pytest.mark.usefixtures("cheap")
PIN = "40718283"


@pytest.fixture
def store(tmp_path: Path) -> list[str]:
    return ["--store", str(tmp_path / "s.sqlite")]


def test_a_pin_is_shown_once_and_opens(store: list[str], capsys: pytest.CaptureFixture) -> None:
    assert run(["access", "add", "Ana", "judge", *store]) == 0
    pin = capsys.readouterr().out.split()[-1]
    with Store.open(Path(store[1])) as opened:
        assert opened_by(opened.pins.listed(), "Ana", pin) is not None
    assert run(["access", "list", *store]) == 0
    assert run(["access", "list", "--json", *store]) == 0
    text, answer = capsys.readouterr().out.rsplit("\n", 2)[:2]
    (row,) = json.loads(answer)["pins"]
    assert (row["name"], row["role"]) == ("Ana", "judge")
    assert pin not in text + answer
    assert run(["access", "remove", "ana", *store]) == 0
    capsys.readouterr()
    complaint(["access", "remove", "ana", *store], capsys)


def test_a_pin_of_ones_own_is_typed_and_never_shown(
    store: list[str], capsys: pytest.CaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PIN}\n"))
    assert run(["access", "add", "Ana", "station", "--own", *store]) == 0
    assert PIN not in capsys.readouterr().out
    with Store.open(Path(store[1])) as opened:
        assert opened_by(opened.pins.listed(), "Ana", PIN) is not None


def test_two_typed_pins_that_differ_keep_nothing(
    store: list[str], capsys: pytest.CaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter([PIN, "99999999"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr(access, "getpass", lambda _ask: next(answers))
    complaint(["access", "add", "Ana", "judge", "--own", *store], capsys)
    assert not Path(store[1]).exists()


def test_what_cannot_be_is_refused(store: list[str], capsys: pytest.CaptureFixture) -> None:
    complaint(["access", "list", *store], capsys)
    complaint(["access", "add", "Ana", "king", *store], capsys)
    complaint(["access", "add", "\x1b[2J", "judge", *store], capsys)
    assert run(["access", "add", "Ana", "judge", *store]) == 0
    capsys.readouterr()
    complaint(["access", "add", "ANA", "owner", *store], capsys)
    assert run(["access", "list", *store]) == 0
