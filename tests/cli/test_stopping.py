"""Stop signals: each is noted, and raises KeyboardInterrupt at the next check."""

from __future__ import annotations

import os
import signal
import sys

import pytest

from unspool.cli.stopping import STOP_SIGNALS, hide_interrupts, stop_signals


@pytest.mark.parametrize("name", STOP_SIGNALS)
def test_each_signal_is_noted_until_it_is_checked(name: str) -> None:
    with stop_signals() as stop:
        stop.check()
        os.kill(os.getpid(), signal.Signals[name])
        with pytest.raises(KeyboardInterrupt):
            stop.check()


def test_handlers_are_as_before_afterwards() -> None:
    before = signal.getsignal(signal.SIGINT)
    with stop_signals():
        assert signal.getsignal(signal.SIGINT) != before
    assert signal.getsignal(signal.SIGINT) == before


class Interrupted:
    """Ctrl-C comes while Python gives this up, in a place that cannot pass it on."""

    def __del__(self) -> None:
        raise KeyboardInterrupt


@pytest.fixture
def hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(sys, "unraisablehook", sys.unraisablehook)
    hide_interrupts()


def test_signal_that_was_swallowed_before_counts(
    hidden: None, capsys: pytest.CaptureFixture[str]
) -> None:
    Interrupted()
    with stop_signals() as stop, pytest.raises(KeyboardInterrupt):
        stop.check()
    assert capsys.readouterr().err == ""
    hide_interrupts()
    with stop_signals() as stop:
        stop.check()
