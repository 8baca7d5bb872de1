"""Stop signals: each raises KeyboardInterrupt, and one that Python swallowed is not forgotten."""

from __future__ import annotations

import os
import signal
import weakref

import pytest

from unspool.cli.stopping import STOP_SIGNALS, stop_signals


class Thing:
    """Something that a weak reference can watch."""


@pytest.mark.parametrize("name", STOP_SIGNALS)
def test_each_signal_interrupts(name: str) -> None:
    with pytest.raises(KeyboardInterrupt), stop_signals():
        os.kill(os.getpid(), signal.Signals[name])


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_signal_while_memory_is_freed_is_not_forgotten() -> None:
    def killed(_reference: weakref.ref[Thing]) -> None:
        os.kill(os.getpid(), signal.SIGHUP)

    with stop_signals() as stop:
        stop.check()
        thing = Thing()
        watched = weakref.ref(thing, killed)
        del thing  # the handler raises inside the callback, and Python goes on
        assert watched() is None
        with pytest.raises(KeyboardInterrupt):
            stop.check()


def test_handlers_are_as_before_afterwards() -> None:
    before = signal.getsignal(signal.SIGINT)
    with stop_signals():
        assert signal.getsignal(signal.SIGINT) != before
    assert signal.getsignal(signal.SIGINT) == before
