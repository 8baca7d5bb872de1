"""A repeated fault is one line a minute."""

from __future__ import annotations

import logging

from h11 import LocalProtocolError

from unspool.app.repeated_faults import AGAIN_S, OnceAMinute


def record(text: str) -> logging.LogRecord:
    return logging.LogRecord("uvicorn.error", logging.WARNING, __file__, 1, text, None, None)


def test_one_line_a_minute_with_the_count_of_the_others() -> None:
    now = [0.0]
    once = OnceAMinute(lambda: now[0])
    assert [once.filter(record("bad request")) for _ in range(4)] == [True, False, False, False]
    assert once.filter(record("another fault"))
    now[0] = AGAIN_S
    later = record("bad request")
    assert once.filter(later)
    assert later.getMessage() == "bad request (3 more in the last minute)"


def test_what_only_a_guest_causes_is_not_logged() -> None:
    once = OnceAMinute(lambda: 0.0)
    assert not once.filter(record("socket.accept() out of system resource\nsocket: ..."))
    closed = record("Exception in ASGI application\n")
    closed.exc_info = (LocalProtocolError, LocalProtocolError("closed"), None)
    assert not once.filter(closed)
