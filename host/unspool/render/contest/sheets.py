"""What stands on each sheet of a contest: a title, and tables of words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from unspool.contest import (
    Board,
    Contest,
    Entry,
    Event,
    Rules,
    board,
    forecasters,
    order_of,
)
from unspool.contest.events import alive
from unspool.render.words.contest import error_text, place_text, score_text
from unspool.render.words.units import NBSP

Line = tuple[str, ...]
ALL = "All cars"
NO_CLASS = "No class"


@dataclass(frozen=True)
class Part:
    """A table. named: how many of its first columns are words, the rest are figures."""

    title: str
    heads: Line
    lines: tuple[Line, ...]
    named: int


@dataclass(frozen=True)
class Sheet:
    title: str
    notes: tuple[str, ...]
    parts: tuple[Part, ...]


def entry_list(contest: Contest) -> Sheet:
    """The cars in their order, with what was handed in."""
    heads = ("Team", "Car", "Class", "No.", "Weight in g", "Age", "Forecast")
    lines = tuple(_entry(contest, one) for one in contest.competing())
    return Sheet(f"{contest.name}: cars", _lot(contest), (Part("Cars", heads, lines, 3),))


def attempt_sheet(contest: Contest) -> Sheet:
    """All attempts in their order, with room to write for a judge without a phone."""
    heads = ("Team", "Car", "Attempt", "Tape", "Time", "Remarks")
    lines = []
    for number, attempt in order_of(contest):
        entry = contest.entries[number]
        lines.append((contest.teams.get(entry.team, ""), entry.car, str(attempt), "", "", ""))
    part = Part("Attempts in order", heads, tuple(lines), 2)
    return Sheet(f"{contest.name}: attempts", _lot(contest), (part,))


def results(contest: Contest) -> Sheet:
    """A table a class, and who knew their car best."""
    final = "Final results." if contest.closed else "Not final: the contest is still open."
    parts = [_board(contest, one) for one in board(contest)]
    if guesses := _guesses(contest):
        parts.append(guesses)
    return Sheet(f"{contest.name}: results", (final,), tuple(parts))


def log_sheet(contest: Contest, events: Sequence[Event]) -> Sheet:
    """Who noted what and when, with what was taken back."""
    counts = {one.number for one in alive(tuple(events))}
    heads = ("When (UTC)", "Who", "What", "Of", "Said", "No.")
    lines = tuple(_event(contest, one, one.number in counts) for one in events)
    return Sheet(f"{contest.name}: log", (), (Part("All that was noted", heads, lines, 5),))


def class_title(contest: Contest, name: str) -> str:
    return name or (NO_CLASS if contest.rules.classes else ALL)


def event_text(contest: Contest, one: Event) -> str:
    """In a line: "Reed, Sandpiper, attempt 1: tape 12.61 m"."""
    entry = contest.entries.get(one.data.get("entry", 0))
    of = f"{contest.title(entry)}, attempt {one.data['attempt']}: " if entry else ""
    return f"{of}{one.kind.replace('_', ' ')} {_value(one)}".strip()


def _value(one: Event) -> str:
    for name, unit in (("text", ""), ("name", ""), ("metres", "m"), ("seconds", "s")):
        if name in one.data:
            return f"{one.data[name]:.2f}{NBSP}{unit}" if unit else str(one.data[name])
    return ""


def _entry(contest: Contest, one: Entry) -> Line:
    rules = contest.rules
    known = (one.weight_g, one.age)
    figures = ("" if value is None else f"{value:g}" for value in known)
    forecast = "" if one.forecast is None else score_text(one.forecast, rules)
    team, kind = contest.teams.get(one.team, ""), one.class_in(rules)
    return (team, one.car, kind, str(one.number), *figures, forecast)


def _lot(contest: Contest) -> tuple[str, ...]:
    if not contest.order:
        return ("The order is that of entering.",)
    if contest.seed is None:
        return ("The order was set by hand.",)
    return (f"The order was drawn by lot with the seed {contest.seed}.",)


def _board(contest: Contest, one: Board) -> Part:
    rules = contest.rules
    count = max((len(row.attempts) for row in one.rows), default=rules.attempts)
    heads = ("Place", "Team", "Car", "Score", *(f"Attempt {n + 1}" for n in range(count)))
    lines = []
    for row in one.rows:
        scores = (row.score, *_padded(row.attempts, count))
        texts = (score_text(score, rules) for score in scores)
        lines.append((place_text(row.place), row.team, row.car, *texts))
    return Part(class_title(contest, one.class_name), heads, tuple(lines), 3)


def _padded(scores: Sequence[float | None], count: int) -> Iterable[float | None]:
    return (*scores, *[None] * (count - len(scores)))


def _guesses(contest: Contest) -> Part | None:
    rules: Rules = contest.rules
    lines = tuple(
        (
            place_text(one.place),
            *(one.team, one.car),
            *(score_text(one.forecast, rules), score_text(one.score, rules)),
            error_text(one, rules),
        )
        for one in forecasters(contest)
    )
    heads = ("Place", "Team", "Car", "Forecast", "Score", "Off by")
    return Part("Who knew their car best", heads, lines, 3) if lines else None


def _event(contest: Contest, one: Event, counts: bool) -> Line:
    when = datetime.fromtimestamp(one.made_us / 1e6, UTC)
    entry = contest.entries.get(one.data.get("entry", 0))
    of = f"{contest.title(entry)} " if entry else ""
    if "attempt" in one.data:
        of += f"attempt {one.data['attempt']}"
    left = {k: v for k, v in one.data.items() if k not in ("entry", "attempt") and v is not None}
    said = ", ".join(f"{name}: {value}" for name, value in left.items())
    back = counts or one.kind == "undone"
    what = one.kind.replace("_", " ") + ("" if back else " (taken back)")
    return (f"{when:%Y-%m-%d %H:%M:%S}", one.who, what, of.strip(), said, str(one.number))
