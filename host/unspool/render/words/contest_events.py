"""What was noted of a contest, a sentence each, as a judge's page and the log say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from unspool.contest import Contest, Event, Kind
from unspool.language import _, localised
from unspool.render.words.units import NBSP
from unspool.render.words.values import in_a_row

Data = Mapping[str, Any]


def event_text(contest: Contest, one: Event) -> str:
    """ "Reed, Sandpiper, attempt 1: tape 12.61 m"."""
    said = _SAID[one.kind](contest, one.data)
    entry = contest.entries.get(one.data.get("entry", 0))
    if entry is None:
        return said
    if "attempt" in one.data:
        return f"{attempt_title(contest, entry.number, one.data['attempt'])}: {said}"
    return f"{contest.title(entry)}: {said}"


def attempt_title(contest: Contest, entry: int, number: int) -> str:
    """ "Reed, Sandpiper, attempt 1"; extra attempts are those of a run-off."""
    return f"{contest.title(contest.entries[entry])}, {attempt_words(contest, number)}"


def attempt_words(contest: Contest, number: int) -> str:
    extra = number - contest.rules.attempts
    if extra <= 0:
        return _("attempt {number}", number=number)
    return _("run-off") if extra == 1 else _("run-off {number}", number=extra)


def metres(value: float) -> str:
    """Whatever units the reader has chosen: judges measure in metres."""
    return f"{localised(f'{value:.2f}')}{NBSP}m"


def seconds(value: float) -> str:
    return f"{localised(f'{value:.2f}')}{NBSP}s"


def grams(value: float) -> str:
    return f"{localised(f'{value:g}')}{NBSP}g"


def _entered(data: Data) -> str:
    """The car, with what classes ask for."""
    parts = [data["car"]]
    if data.get("weight_g") is not None:
        parts.append(grams(data["weight_g"]))
    if data.get("age") is not None:
        parts.append(_("age {age}", age=localised(f"{data['age']:g}")))
    return ", ".join(parts)


def _entry(contest: Contest, data: Data) -> str:
    team = contest.teams.get(data["team"], "")
    return _("entered: {team}, {car}", team=team, car=_entered(data))


def _order(contest: Contest, data: Data) -> str:
    if data["seed"] is not None:
        return _("the order was drawn with the seed {seed}", seed=data["seed"])
    titles = (contest.title(contest.entries[n]) for n in data["entries"] if n in contest.entries)
    return _("the order was set by hand: {cars}", cars=in_a_row(titles))


def _run(_contest: Contest, data: Data) -> str:
    """What the wheel measured."""
    named = (
        (_("furthest point"), data["furthest_m"], metres),
        (_("resting place"), data["resting_m"], metres),
        (_("time"), data["time_s"], seconds),
    )
    found = [f"{name} {words(value)}" for name, value, words in named if value is not None]
    return _("recorded by the wheel: {values}", values=", ".join(found) or _("nothing"))


def _run_off(contest: Contest, data: Data) -> str:
    titles = (contest.title(contest.entries[n]) for n in data["entries"] if n in contest.entries)
    return _("a run-off of {cars}", cars=in_a_row(titles))


_SAID: dict[Kind, Callable[[Contest, Data], str]] = {
    Kind.NAMED: lambda _c, d: _("the contest is called {name}", name=d["name"]),
    Kind.RULES: lambda _c, d: _("the rules are: {rules}", rules="; ".join(d["toml"].split("\n"))),
    Kind.TEAM: lambda _c, d: _("a team: {name}", name=d["name"]),
    Kind.TEAM_RENAMED: lambda _c, d: _("a team is now called {name}", name=d["name"]),
    Kind.ENTRY: _entry,
    Kind.ENTRY_CHANGED: lambda _c, d: _("changed to {car}", car=_entered(d)),
    Kind.WITHDRAWN: lambda _c, _d: _("withdrawn"),
    Kind.FORECAST: lambda _c, d: _("forecast {value}", value=localised(f"{d['value']:g}")),
    Kind.ORDER: _order,
    Kind.CALLED: lambda _c, _d: _("called"),
    Kind.TAPE: lambda _c, d: _("tape {metres}", metres=metres(d["metres"])),
    Kind.DOUBTED: lambda _c, d: _("a second tape, {metres}", metres=metres(d["metres"])),
    Kind.TIMED: lambda _c, d: _("time {seconds}", seconds=seconds(d["seconds"])),
    Kind.REMARK: lambda _c, d: _("remark: {text}", text=d["text"]),
    Kind.PENALTY: lambda _c, d: _("penalty: {name}", name=d["name"]),
    Kind.RUN: _run,
    Kind.REPEATED: lambda _c, d: _("is made again: {text}", text=d["text"]),
    Kind.RUN_OFF: _run_off,
    Kind.CLOSED: lambda _c, _d: _("the results are final"),
    Kind.UNDONE: lambda _c, d: _("line {number} was taken back", number=d["event"]),
}
