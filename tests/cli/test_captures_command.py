"""`unspool captures`: the list of captures, and deleting those that nobody needs."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from store.recorded import CAR, run_at
from unspool.cli.entry import run
from unspool.store import BoardKey, Store

LONG_AGO_S = 1_700_000_000.0


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "s"
    with Store.open(path) as opened:
        for boot in (1, 2, 3):
            key = BoardKey(0xBEEF, boot)
            log = opened.begin_capture("serial:/dev/ttyUSB0", key=key)
            log.append(LONG_AGO_S, bytes(1000), stray_bytes=2500)
            if boot == 2:
                opened.save_found(log.capture, run_at(10), CAR)
    with closing(sqlite3.connect(path)) as direct, direct:
        direct.execute("UPDATE captures SET started_us = 17")
    return path


def test_the_list(
    store: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    assert run(["captures", "--store", str(store)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 4
    assert lines[2].split()[3:] == (
        ["0000beef,", "boot", "2", "/dev/ttyUSB0", "1.0", "kB", "2.5", "kB", "1"]
    )


def test_the_list_for_programs(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["captures", "--store", str(store), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert "deleted" not in answer
    assert answer["captures"][1] == {
        "id": 2,
        "started_at": "1970-01-01T00:00:00.000017+00:00",
        "board": 0xBEEF,
        "boot": 2,
        "link": "serial:/dev/ttyUSB0",
        "size_bytes": 1000,
        "stray_bytes": 2500,
        "runs": 1,
    }


def test_tidying(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["captures", "--store", str(store), "--tidy", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["deleted"] == {"captures": 1, "size_bytes": 1000}
    assert [row["id"] for row in answer["captures"]] == [2, 3]
    assert run(["captures", "--store", str(store), "--tidy"]) == 0
    assert capsys.readouterr().out == "deleted: 0 captures, 0.0 kB\nkept: 2 captures, 2.0 kB\n"


def test_a_store_without_captures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Store.open(tmp_path / "s").close()
    assert run(["captures", "--store", str(tmp_path / "s")]) == 0
    assert "unspool record" in capsys.readouterr().err
