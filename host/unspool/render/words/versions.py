"""Versions of cars and tracks, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from unspool.car.changes import Change, Value
from unspool.language import _, later, localised
from unspool.shelved import How, Shelved, Version

HOW = {
    How.SAVED: later("saved"),
    How.RUN: later("brought along by an attempt"),
    How.AWAY: later("put away"),
}
HOW_BY = {
    How.SAVED: later("saved by {who}"),
    How.RUN: later("brought along by an attempt by {who}"),
    How.AWAY: later("put away by {who}"),
}
ORDER_ONLY = later("comments or order only")


def how_words(how: How, who: str) -> str:
    """How a version came about, and by whom if that is known."""
    return _(HOW_BY[how], who=who) if who else _(HOW[how])


def change_line(change: Change) -> str:
    """One key: "body.mass_g: 910, before 900"."""
    return _(
        "{key}: {after}, before {before}",
        key=change.key,
        after=_value(change.after),
        before=_value(change.before),
    )


def version_head(version: Version) -> str:
    """ "version 2, 2025-11-27 14:03, saved by ada, 3 runs"."""
    when = f"{version.made_at.astimezone():%Y-%m-%d %H:%M}"
    count = len(version.runs)
    runs = f", {count} attempt{'s' * (count != 1)}" if count else ""
    return f"version {version.number}, {when}, {how_words(version.how, version.who)}{runs}"


def version_lines(thing: Shelved, changes: Mapping[int, Sequence[Change]]) -> Iterator[str]:
    """A car or a track with its versions, the oldest first, and what each changed."""
    yield thing.name + ", put away" * thing.away
    for version in thing.versions:
        current = ", current" * (version == thing.current)
        yield f"  {version_head(version)}{current}"
        changed = changes[version.number]
        yield from (f"    {change_line(change)}" for change in changed)
        if not changed and version.number > 1:
            yield f"    {ORDER_ONLY}"


def _value(value: Value | None) -> str:
    if value is None:
        return _("nothing")
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else localised(f"{value:.10g}")
