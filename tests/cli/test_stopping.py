"""Stop signals: each is noted, and raises KeyboardInterrupt at the next check."""

from __future__ import annotations

import os
import signal

import pytest

from unspool.cli.stopping import STOP_SIGNALS, stop_signals


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
