"""`unspool` and `unspool app`: the app alone, without a board, a car or a run."""

from __future__ import annotations

import signal
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from cli.shell import PATIENCE_S, served
from unspool.cli import pages
from unspool.cli.entry import run
from unspool.store import Store


def page(address: str) -> str:
    with urllib.request.urlopen(address, timeout=30) as answer:
        return answer.read().decode()


@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_it_answers_on_an_empty_store_and_ends_on_a_signal(
    tmp_path: Path, stop: signal.Signals
) -> None:
    store = tmp_path / "new" / "mine.sqlite"
    with served(tmp_path, "app", "--store", store, "--port", "0", "--no-browser") as (app, address):
        assert "<title>unspool</title>" in page(address)
        app.send_signal(stop)
        out, err = app.communicate(timeout=60)
    assert (app.returncode, err) == (0, "")
    assert out.endswith("stopped\n")
    assert store.exists()


def test_no_arguments_open_the_app_on_the_users_own_store_in_a_browser(tmp_path: Path) -> None:
    """It opens if there are windows, or if the user has named a browser."""
    seen = tmp_path / "seen"
    browser = tmp_path / "browser"
    browser.write_text(f"#!/bin/sh\necho \"$1\" > '{seen}'\n")
    browser.chmod(0o755)
    with served(tmp_path, BROWSER=f"{browser} %s") as (app, address):
        assert "<title>unspool</title>" in page(address)
        give_up = time.monotonic() + PATIENCE_S
        while not (seen.exists() and seen.read_text()):
            assert time.monotonic() < give_up
            time.sleep(0.02)
        app.send_signal(signal.SIGTERM)
        assert app.wait(60) == 0
    assert seen.read_text().strip() == address
    assert (tmp_path / "data" / "unspool" / "unspool.sqlite").exists()


def test_no_browser_starts_in_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"):
        monkeypatch.delenv(name, raising=False)
    pages.open_browser("http://127.0.0.1:1/")
    assert opened == []


def test_a_taken_port_and_a_store_that_cannot_be(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["app", "--store", str(tmp_path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_demo_names_the_demos_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert run(["runs", "--store", "demo"]) == 2
    assert "unspool demo" in capsys.readouterr().err
    Store.open(tmp_path / "unspool" / "demo.sqlite").close()
    assert run(["runs", "--store", "demo"]) == 0
