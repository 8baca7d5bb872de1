"""What stands on each sheet of a contest: a title, and tables of words and figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from unspool.contest import (
    Attempt,
    Board,
    Contest,
    Entry,
    Event,
    Kind,
    Row,
    board,
    forecasters,
    order_of,
)
from unspool.contest.events import alive
from unspool.language import _
from unspool.render.words.contest import (
    attempt_figure,
    error_figure,
    error_unit,
    figure,
    place_text,
    unit,
)
from unspool.render.words.contest_events import attempt_words, event_text

Line = tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """A table. named: how many of its first columns are words.

    The rest are figures, with a decimal point. tall: there is room to write in its lines.
    """

    title: str
    heads: Line
    lines: tuple[Line, ...]
    named: int
    tall: bool = False


@dataclass(frozen=True)
class Sheet:
    title: str
    notes: tuple[str, ...]
    parts: tuple[Part, ...]


def entry_list(contest: Contest) -> Sheet:
    """The cars in their order, with what was handed in."""
    forecast = _("Forecast in {unit}", unit=unit(contest.rules))
    heads = (*_names(), _("Class"), _("No."), _("Weight in g"), _("Age"), forecast)
    lines = tuple(_entry(contest, one) for one in contest.competing())
    title = _("{contest}: cars", contest=contest.name)
    return Sheet(title, _lot(contest), (Part(_("Cars"), heads, lines, 3),))


def attempt_sheet(contest: Contest) -> Sheet:
    """All attempts in their order, with room to write for a judge without a phone."""
    timed = contest.rules.least_wins
    value = _("Time in s") if timed else _("Distance in m")
    heads = (*_names(), _("Attempt"), _("Remarks"), value)
    lines = tuple(_attempt(contest, contest.attempt(*key)) for key in order_of(contest))
    part = Part(_("Attempts in order"), heads, lines, 4, tall=True)
    return Sheet(_("{contest}: attempts", contest=contest.name), _lot(contest), (part,))


def results(contest: Contest) -> Sheet:
    """A table a class, and who knew their car best."""
    parts = [_board(contest, one) for one in filled(board(contest))]
    if guesses := _guesses(contest):
        parts.append(guesses)
    title = _("{contest}: results", contest=contest.name)
    return Sheet(title, (final_text(contest),), tuple(parts))


def log_sheet(contest: Contest, events: Sequence[Event]) -> Sheet:
    """Who noted what and when, with what was taken back."""
    counts = {one.number for one in alive(tuple(events))}
    heads = (_("When (UTC)"), _("Who"), _("What"), _("Taken back"), _("No."))
    lines = tuple(_event(contest, one, one.number in counts) for one in events)
    title = _("{contest}: log", contest=contest.name)
    return Sheet(title, (), (Part(_("All that was noted"), heads, lines, 4),))


def final_text(contest: Contest) -> str:
    if contest.closed:
        return _("Final results.")
    return _("Not final: the contest is still open.")


def class_title(contest: Contest, name: str) -> str:
    return name or (_("No class") if contest.rules.classes else _("All cars"))


def filled(boards: tuple[Board, ...]) -> tuple[Board, ...]:
    """Those of classes that have a car; all of them if none has."""
    return tuple(one for one in boards if one.rows) or boards


def _names() -> Line:
    return _("Team"), _("Car")


def _title(contest: Contest, number: int) -> Line:
    entry = contest.entries[number]
    return contest.teams.get(entry.team, ""), entry.car


def _entry(contest: Contest, one: Entry) -> Line:
    figures = ("" if value is None else f"{value:g}" for value in (one.weight_g, one.age))
    forecast = figure(one.forecast, contest.rules)
    kind = one.class_in(contest.rules)
    return (*_title(contest, one.number), kind, str(one.number), *figures, forecast)


def _attempt(contest: Contest, one: Attempt) -> Line:
    said = [*(penalty.name for penalty in one.penalties), *one.remarks]
    value = one.time_s if contest.rules.least_wins else one.tape_m
    words = attempt_words(contest, one.number)
    name = _title(contest, one.entry)
    return (*name, words, ", ".join(said), figure(value, contest.rules))


def _lot(contest: Contest) -> tuple[str, ...]:
    if not contest.order:
        return (_("The order is that of entering."),)
    if contest.seed is None:
        return (_("The order was set by hand."),)
    return (_("The order was drawn by lot with the seed {seed}.", seed=contest.seed),)


def _board(contest: Contest, one: Board) -> Part:
    made = range(1, max((len(row.attempts) for row in one.rows), default=0) + 1)
    titles = (attempt_words(contest, number) for number in made)
    score = _("Score in {unit}", unit=unit(contest.rules))
    heads = (_("Place"), *_names(), score, *(title[:1].upper() + title[1:] for title in titles))
    lines = tuple(_row(contest, row, made) for row in one.rows)
    return Part(class_title(contest, one.class_name), heads, lines, 3)


def _row(contest: Contest, row: Row, made: range) -> Line:
    figures = (attempt_figure(contest.attempt(row.entry, n), contest.rules) for n in made)
    score = figure(row.score, contest.rules)
    return (place_text(row.place), row.team, row.car, score, *figures)


def _guesses(contest: Contest) -> Part | None:
    rules = contest.rules
    lines = tuple(
        (
            *(place_text(one.place), one.team, one.car),
            *(figure(one.forecast, rules), figure(one.score, rules), error_figure(one, rules)),
        )
        for one in forecasters(contest)
    )
    of = unit(rules)
    heads = (_("Place"), *_names(), _("Forecast in {unit}", unit=of), _("Score in {unit}", unit=of))
    off = _("Off by, in {unit}", unit=error_unit(rules))
    return Part(_("Who knew their car best"), (*heads, off), lines, 3) if lines else None


def _event(contest: Contest, one: Event, counts: bool) -> Line:
    when = datetime.fromtimestamp(one.made_us / 1e6, UTC)
    back = "" if counts or one.kind is Kind.UNDONE else _("taken back")
    what = event_text(contest, one)
    return (f"{when:%Y-%m-%d %H:%M:%S}", one.who, what, back, str(one.number))
