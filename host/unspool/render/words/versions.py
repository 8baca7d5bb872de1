"""Versions of cars and tracks, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from unspool.car.changes import Change, Value
from unspool.shelved import How, Shelved, Version

HOW = {How.SAVED: "saved", How.RUN: "brought along by an attempt", How.AWAY: "put away"}


def change_line(change: Change) -> str:
    """One key: "body.mass_g: 910, before 900"."""
    return f"{change.key}: {_value(change.after)}, before {_value(change.before)}"


def version_head(version: Version) -> str:
    """ "version 2, 2025-11-27 14:03, saved by ada, 3 runs"."""
    when = f"{version.made_at.astimezone():%Y-%m-%d %H:%M}"
    by = f" by {version.who}" if version.who else ""
    count = len(version.runs)
    runs = f", {count} attempt{'s' * (count != 1)}" if count else ""
    return f"version {version.number}, {when}, {HOW[version.how]}{by}{runs}"


def version_lines(thing: Shelved, changes: Mapping[int, Sequence[Change]]) -> Iterator[str]:
    """A car or a track with its versions, the oldest first, and what each changed."""
    yield thing.name + ", put away" * thing.away
    for version in thing.versions:
        current = ", current" * (version == thing.current)
        yield f"  {version_head(version)}{current}"
        changed = changes[version.number]
        yield from (f"    {change_line(change)}" for change in changed)
        if not changed and version.number > 1:
            yield "    comments or order only"


def _value(value: Value | None) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else f"{value:.10g}"
