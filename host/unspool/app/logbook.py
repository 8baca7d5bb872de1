"""The Logbook's rows: what a browser's table shows of each attempt."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

from unspool.app.attempt_names import called
from unspool.app.line_maker import LineMaker
from unspool.app.parts import local_time
from unspool.ends import Ends
from unspool.kept.lines import holds
from unspool.language import ENGLISH, _, day_words, language
from unspool.render.json.common import Json
from unspool.render.words.logbook import line_distance, line_winding, stands_out
from unspool.render.words.units import quantity
from unspool.store import Line, RunRow, Store, Turns

Said = Callable[[Turns], str]


def logbook_json(
    store: Store, maker: LineMaker, after: int | None = None, first: int | None = None
) -> Json:
    """All attempts, newest first.

    after: the turn of an earlier answer; then only those whose lines were made since. `turn` is
    that of this answer, `due` how many lines are still to be made. If `state` is another, so are
    the attempts, or what was said of them.

    first: if there are more attempts, so many of the newest alone, with `more`. Those are soon on
    the screen.
    """
    rows = sorted(store.runs(first), key=lambda row: row.started_at, reverse=True)
    if len(rows) == first:
        return {"rows": _rows(rows, maker.known(rows)), "more": True}
    state = [len(rows), max((row.revision for row in rows), default=0)]
    turn = maker.turn
    lines, due = maker.lines(rows)
    if after is not None:
        since = maker.since(after)
        rows = [row for row in rows if row.id in since]
    return {"rows": _rows(rows, lines), "turn": turn, "due": due, "state": state}


def _rows(rows: Sequence[RunRow], lines: dict[str, Line]) -> list[Json]:
    said = cache(line_winding)  # many attempts have the same
    return [_row(row, lines.get(row.id), said) for row in rows]


def _row(row: RunRow, line: Line | None, said: Said) -> Json:
    known = line if line is not None and holds(row, line) else None
    return {
        **_known_at_once(row),
        **(_from_its_line(known, said) if known else {"due": bool(row.basis)}),
    }


def _known_at_once(row: RunRow) -> Json:
    at = row.attempt
    return {
        "id": row.id,
        "revision": row.revision,
        "name": called(row.id, at),
        "car": row.car or "",
        "floor": row.track or "",
        "day": at.day.isoformat() if at else "",
        "day_words": day_words(at.day) if at else "",
        "at": row.started_at.timestamp(),
        "when": local_time(row.started_at),
        "time": f"{row.started_at.astimezone():%H:%M}",
        "taped_m": row.taped_m,
        "taped": "" if row.taped_m is None else quantity(row.taped_m, "m"),
        "tags": list(row.tags),
        "note": row.builder_note,
        "discarded": row.discarded,
        "fault": "" if row.basis else row.source,
    }


def _fault(why: str) -> str:
    """Lines keep it in English, as files do. The attempt's page reads again, and says it."""
    return why if not why or language() == ENGLISH else _("It cannot be read. Its page says why.")


def _from_its_line(line: Line, said: Said) -> dict[str, Any]:
    return {
        "winding": said(line.winding),
        "turns": [[tier, turns] for tier, turns in line.winding],
        "weight_g": line.weight_g,
        "weight": "" if line.weight_g is None else quantity(line.weight_g, "g", 0),
        "distance_m": line.distance_m,
        "distance": line_distance(line.distance_m, line.ends),
        "whole": line.ends is Ends.DISTANCE,
        "peak_m_s": line.peak_m_s,
        "spark": list(line.spark),
        "stands": [[one.code, one.words, one.grave] for one in stands_out(line.findings)],
        "fault": _fault(line.fault),
    }
