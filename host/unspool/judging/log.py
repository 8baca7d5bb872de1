"""A contest's log in the store, as the events that it stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from unspool.contest import Contest, Event, Kind, contest_of
from unspool.errors import InputError, StoreError
from unspool.language import Phrase, _, later
from unspool.names import name_key
from unspool.store import Noted, Store
from unspool.typed import typed_number

LONGEST_TEXT = 60
LONGEST_REMARK = 200
CLOSED = later("the contest is closed; take the closing back first")


def events_in(store: Store, contest: str) -> tuple[Event, ...]:
    """Raises InputError if there is no such contest, StoreError if its log cannot be used."""
    return tuple(_event(one) for one in store.contests.events(contest))


def contest_in(store: Store, contest: str) -> Contest:
    """The contest now. Raises as `events_in`."""
    try:
        return contest_of(events_in(store, contest))
    except (KeyError, TypeError, StopIteration) as error:
        raise StoreError(
            _(
                "contest {contest} is damaged in the store ({error})",
                contest=contest,
                error=repr(error),
            )
        ) from error


@dataclass(frozen=True)
class Desk:
    """Who notes things of which contest. All methods raise StoreError."""

    store: Store
    id: str
    who: str

    @property
    def contest(self) -> Contest:
        return contest_in(self.store, self.id)

    def open_contest(self) -> Contest:
        """Raises InputError if the contest is closed."""
        found = self.contest
        if found.closed:
            raise InputError(_(CLOSED))
        return found

    def note(self, kind: Kind, subject: str = "", seen: int | None = None, **data: Any) -> int:
        return self.store.contests.add(self.id, self.who, kind, data, subject, seen)


def said_text(where: str, text: str, longest: int = LONGEST_TEXT) -> str:
    """The text with single spaces. Raises InputError if it is empty or too long."""
    words = " ".join(text.split())
    if not words:
        raise InputError(_("{where}: give at least one letter", where=where))
    if len(words) > longest:
        raise InputError(
            _(
                "{where}: has {count} characters; give {most} at most",
                where=where,
                count=len(words),
                most=longest,
            )
        )
    return words


def said_number(where: str, text: str, most: float) -> float:
    """Raises InputError for anything but a number from 0 to `most`."""
    value = typed_number(where, text)
    if not 0.0 <= value <= most:
        raise InputError(
            _(
                "{where}: {value} is not between 0 and {most}",
                where=where,
                value=text.strip()[:20],
                most=format(most, "g"),
            )
        )
    return value


def same_name(one: str, other: str) -> bool:
    return name_key(one) == name_key(other)


def _event(noted: Noted) -> Event:
    if noted.kind not in frozenset(Kind):
        raise StoreError(
            Phrase(
                "this contest was judged with a newer unspool ({kind}); update it", kind=noted.kind
            )
        )
    data = dict(noted.data)
    if noted.kind == Kind.RUN:
        data["run"] = noted.run_id or ""
    return Event(noted.number, noted.made_us, noted.who, Kind(noted.kind), data)
