"""From what was decoded and detected to notices."""

from __future__ import annotations

from unspool.errors import UnspoolError
from unspool.finding import warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import (
    BoardHealth,
    BoardSeen,
    EdgesMissed,
    LinkChanged,
    Notice,
    PhaseChanged,
    RunEdges,
)
from unspool.instrument.record.run_events import RunEvent, RunGrew
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, Decoded, EdgeGap


def notice_of(item: Decoded | RunEvent, now: float) -> Notice | None:
    """The notice of it; None for what concerns nobody."""
    match item:
        case PhaseChanged():
            return item
        case RunGrew(key=key, first=first, edges=edges, tick_hz=tick_hz):
            time_s = edges.ticks / tick_hz
            return RunEdges(key, first, time_s, edges.direction, edges.number, now)
        case BoardHello():
            return BoardSeen(item.firmware, item.boot, item.tick_hz, item.identity)
        case BoardStatus():
            return BoardHealth(
                item.battery_mv / 1000.0,
                item.edges_lost,
                item.reset_cause,
                reset_at=item.restarted_at,
            )
        case EdgeGap():
            return EdgesMissed(item.count)
        case _:
            return None


def link_failed(error: UnspoolError) -> LinkChanged:
    """The link is down; the error's own sentence says why."""
    return LinkChanged(False, warning(RecordCode.LINK_FAILED, reason=error.sentence))


def reason_of(error: Exception) -> str:
    """The error's own sentence, or for a fault of this program its kind too."""
    return error.sentence if isinstance(error, UnspoolError) else f"{type(error).__name__}: {error}"
