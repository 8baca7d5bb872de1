"""What the buttons of a contest's pages do: texts by name come in, and what to say goes out."""

from __future__ import annotations

from unspool.app.contest_hub import ContestHub
from unspool.app.contest_judging import CALLS, JUDGE, attempt, attempt_query
from unspool.app.contest_sent import number, who
from unspool.app.contest_setting_up import SET_UP
from unspool.app.permissions import may
from unspool.app.rights import Part
from unspool.app.sent import Sent
from unspool.contest import rules_toml
from unspool.errors import ChangedMeanwhileError, InputError
from unspool.judging import Judge, Organiser, may_take_back
from unspool.language import _
from unspool.render.words.contest import usual_rules
from unspool.render.words.values import as_sentence


def make(hub: ContestHub, sent: Sent) -> Sent:
    """A new contest; `href` leads to its page."""
    rules = rules_toml(usual_rules())
    made = Organiser.make(hub.store, who(sent), sent.get("name", ""), rules)
    return {"text": _("Made."), "href": f"/contest/{made.id}"}


def act(hub: ContestHub, contest: str, sent: Sent) -> Sent:
    """Raises InputError for what cannot be. If two judges differ, `text` is a question.

    Then `seen` is what the second judge has seen with it. `at`: the address's part of the attempt
    that was called.
    """
    name = sent.get("act", "")
    if name in SET_UP:
        _need_owner()
        said = {"text": SET_UP[name](Organiser(hub.store, contest, who(sent)), sent)}
    elif name == "undo":
        said = _taken_back(hub, contest, sent)
    elif name in CALLS:
        called = CALLS[name](Judge(hub.store, contest, who(sent)), sent)
        said = {"text": _("Called."), "at": attempt_query(*called)}
    elif name in JUDGE:
        said = _judged(hub, contest, name, sent)
    else:
        raise InputError(_("that is nothing that a page of unspool sends"))
    hub.changed(contest)
    return said


def _need_owner() -> None:
    if not may(Part.SET_UP):
        raise InputError(_("only who may change everything sets a contest up; give that PIN"))


def _taken_back(hub: ContestHub, contest: str, sent: Sent) -> Sent:
    judge, event = Judge(hub.store, contest, who(sent)), number(sent, "event")
    if not may_take_back(judge, event):
        _need_owner()
    judge.undo(event)
    return {"text": _("Taken back.")}


def _judged(hub: ContestHub, contest: str, name: str, sent: Sent) -> Sent:
    judge = Judge(hub.store, contest, who(sent))
    try:
        return {"text": JUDGE[name](judge, sent)}
    except ChangedMeanwhileError as error:
        # what the second judge measured is in the log by now
        entry, attempted = attempt(sent)
        seen = judge.contest.entries[entry].attempts[attempted].revision
        return {"text": as_sentence(str(error)), "seen": str(seen)}
