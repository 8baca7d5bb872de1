"""Versions of cars and tracks as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from unspool.car.changes import Change
from unspool.render.json.common import FORMAT, Json
from unspool.shelved import Chosen, Shelved, Version


def shelf_json(kind: str, things: Iterable[Shelved]) -> Json:
    """What `unspool cars --json` and `unspool tracks --json` print; kind: "cars" or "tracks"."""
    return {"unspool": FORMAT, kind: [_line(thing) for thing in things]}


def versions_json(kind: str, thing: Shelved, changes: Mapping[int, Sequence[Change]]) -> Json:
    """The same for one of them, with its versions, the oldest first."""
    versions = [_version(one, changes[one.number]) for one in thing.versions]
    history = [_chosen(line) for line in thing.history]
    one = {**_line(thing), "versions": versions, "history": history}
    return {"unspool": FORMAT, kind.removesuffix("s"): one}


def _chosen(line: Chosen) -> Json:
    made_at = line.made_at.isoformat()
    return {"made_at": made_at, "who": line.who, "how": line.how, "version": line.number}


def _line(thing: Shelved) -> Json:
    return {
        "name": thing.name,
        "version": thing.current.number,
        "versions": len(thing.versions),
        "runs": list(thing.runs),
        "away": thing.away,
    }


def _version(version: Version, changes: Sequence[Change]) -> Json:
    return {
        "number": version.number,
        "made_at": version.made_at.isoformat(),
        "who": version.who,
        "how": version.how,
        "runs": list(version.runs),
        "changes": [{"key": one.key, "before": one.before, "after": one.after} for one in changes],
    }
