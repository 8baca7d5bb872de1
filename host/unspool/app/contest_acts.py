"""What the buttons of a contest's pages do: texts by name come in, and what to say goes out."""

from __future__ import annotations

from collections.abc import Callable

from unspool.app.contest_hub import ContestHub
from unspool.app.permissions import asker, holds
from unspool.app.rights import Right
from unspool.errors import ChangedMeanwhileError, InputError
from unspool.judging import Judge, Organiser
from unspool.judging.log import LONGEST_TEXT
from unspool.render.words.values import as_sentence

Sent = dict[str, str]


def make(hub: ContestHub, sent: Sent) -> Sent:
    """A new contest; `href` leads to its page."""
    made = Organiser.make(hub.store, who(sent), sent.get("name", ""))
    return {"text": "Made.", "href": f"/contest/{made.id}"}


def act(hub: ContestHub, contest: str, sent: Sent) -> Sent:
    """Raises InputError for what cannot be. If two judges differ, `text` is a question.

    Then `seen` is what the second judge has seen with it.
    """
    name = sent.get("act", "")
    if name in _SET_UP:
        if not holds(Right.OWN):
            raise InputError("only who may change everything sets a contest up; give that PIN")
        text = _SET_UP[name](Organiser(hub.store, contest, who(sent)), sent)
    elif name in _JUDGE:
        return _judged(hub, contest, name, sent)
    else:
        raise InputError("that is nothing that a page of unspool sends")
    hub.changed(contest)
    return {"text": text}


def who(sent: Sent) -> str:
    """The name that a judge gave on the page, with who the server knows it is."""
    given = " ".join(sent.get("who", "").split())[:LONGEST_TEXT]
    return f"{given} ({asker()})" if given else asker()


def _judged(hub: ContestHub, contest: str, name: str, sent: Sent) -> Sent:
    judge = Judge(hub.store, contest, who(sent))
    try:
        said = {"text": _JUDGE[name](judge, sent)}
    except ChangedMeanwhileError as error:
        # what the second judge measured is in the log by now
        entry, attempt = _one(sent)
        seen = judge.contest.entries[entry].attempts[attempt].revision
        said = {"text": as_sentence(str(error)), "seen": str(seen)}
    hub.changed(contest)
    return said


def number(sent: Sent, name: str) -> int:
    text = sent.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise InputError(f"{name}: give a whole number")
    return int(text)


def _seen(sent: Sent) -> int | None:
    return number(sent, "seen") if "seen" in sent else None


def _said(do: Callable[[], object], text: str) -> str:
    do()
    return text


def _rename_team(by: Organiser, sent: Sent) -> str:
    return _said(lambda: by.rename_team(sent.get("team", ""), sent.get("name", "")), "Renamed.")


def _enter(by: Organiser, sent: Sent) -> str:
    given = (sent.get(name, "") for name in ("team", "car", "weight", "age"))
    entry = by.enter(*given)
    if sent.get("forecast", "").strip():
        by.forecast(entry, sent["forecast"])
    return "Entered."


def _forecast(by: Organiser, sent: Sent) -> str:
    entry = number(sent, "entry")
    return _said(lambda: by.forecast(entry, sent.get("forecast", "")), "Noted.")


def _move(by: Organiser, sent: Sent) -> str:
    """A car one place up."""
    entry, order = number(sent, "entry"), [one.number for one in by.contest.competing()]
    if entry in order[1:]:
        at = order.index(entry)
        order[at - 1], order[at] = entry, order[at - 1]
    return _said(lambda: by.set_order(order), "Moved.")


_SET_UP: dict[str, Callable[[Organiser, Sent], str]] = {
    "rename": lambda by, sent: _said(lambda: by.rename(sent.get("name", "")), "Renamed."),
    "rules": lambda by, sent: _said(lambda: by.set_rules(sent.get("rules", "")), "Rules kept."),
    "enter": _enter,
    "rename-team": _rename_team,
    "withdraw": lambda by, sent: _said(lambda: by.withdraw(number(sent, "entry")), "Withdrawn."),
    "forecast": _forecast,
    "draw": lambda by, sent: f"Drawn with the seed {by.draw(sent.get('seed', ''))}.",
    "move": _move,
    "close": lambda by, _sent: _said(by.close, "Closed: the results are final."),
}


def _one(sent: Sent) -> tuple[int, int]:
    return number(sent, "entry"), number(sent, "attempt")


def _tape(by: Judge, sent: Sent) -> str:
    return _said(lambda: by.tape(*_one(sent), sent.get("metres", ""), _seen(sent)), "Taped.")


def _time(by: Judge, sent: Sent) -> str:
    return _said(lambda: by.time(*_one(sent), sent.get("seconds", ""), _seen(sent)), "Timed.")


def _penalty(by: Judge, sent: Sent) -> str:
    return _said(lambda: by.penalty(*_one(sent), sent.get("penalty", ""), _seen(sent)), "Noted.")


_JUDGE: dict[str, Callable[[Judge, Sent], str]] = {
    "next": lambda by, sent: _said(lambda: by.call_next(_seen(sent)), "Called."),
    "call": lambda by, sent: _said(lambda: by.call(*_one(sent)), "Called."),
    "tape": _tape,
    "time": _time,
    "penalty": _penalty,
    "remark": lambda by, sent: _said(
        lambda: by.remark(*_one(sent), sent.get("remark", "")), "Noted."
    ),
    "undo": lambda by, sent: _said(lambda: by.undo(number(sent, "event")), "Taken back."),
}
