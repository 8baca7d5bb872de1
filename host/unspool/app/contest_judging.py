"""What the buttons of a judge's page do."""

from __future__ import annotations

from collections.abc import Callable

from unspool.app.contest_sent import done, number
from unspool.app.sent import Sent
from unspool.judging import Judge
from unspool.language import _


def attempt(sent: Sent) -> tuple[int, int]:
    return number(sent, "entry"), number(sent, "attempt")


def attempt_query(entry: int, number: int) -> str:
    """The part of the address with which a judge's page stays with that attempt."""
    return f"?entry={entry}&attempt={number}"


def _seen(sent: Sent) -> int | None:
    return number(sent, "seen") if "seen" in sent else None


def _tape(by: Judge, sent: Sent) -> str:
    metres = sent.get("metres", "")
    return done(lambda: by.tape(*attempt(sent), metres, _seen(sent)), _("The distance is kept."))


def _time(by: Judge, sent: Sent) -> str:
    seconds = sent.get("seconds", "")
    return done(lambda: by.time(*attempt(sent), seconds, _seen(sent)), _("The time is kept."))


def _penalty(by: Judge, sent: Sent) -> str:
    name = sent.get("penalty", "")
    return done(lambda: by.penalty(*attempt(sent), name, _seen(sent)), _("Noted."))


def _remark(by: Judge, sent: Sent) -> str:
    return done(lambda: by.remark(*attempt(sent), sent.get("remark", "")), _("Noted."))


def _repeat(by: Judge, sent: Sent) -> str:
    why = sent.get("reason", "")
    return done(lambda: by.repeat(*attempt(sent), why), _("It is made again, as the next."))


def _run_off(by: Judge, sent: Sent) -> str:
    return done(lambda: by.run_off(number(sent, "entry")), _("Call its attempts as usual."))


JUDGE: dict[str, Callable[[Judge, Sent], str]] = {
    "tape": _tape,
    "time": _time,
    "penalty": _penalty,
    "remark": _remark,
    "repeat": _repeat,
    "run-off": _run_off,
}

# They return the attempt that was called, with which the page then stays.
CALLS: dict[str, Callable[[Judge, Sent], tuple[int, int]]] = {
    "next": lambda by, sent: by.call_next(_seen(sent)),
    "call": lambda by, sent: by.call(*attempt(sent)),
}
