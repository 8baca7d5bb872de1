"""How long a board waits before it sends a frame that is not full, by the rate of the link."""

from __future__ import annotations

from unspool.instrument.wire.table import FLUSH_MS

FRAMING_BYTES = 9  # of an EDGES frame, and the unfinished byte that comes again
FRAMING_SHARE = 0.075  # of what a slow link carries
LONGEST_FLUSH_MS = 250  # a page that lags by more is no longer live


def flush_for(rate: int | None) -> int:
    """How long unfilled frames wait, so that their framing takes up to FRAMING_SHARE of the link.

    In milliseconds; rate is what the link carries in bytes a second.
    """
    if not rate:
        return FLUSH_MS
    wait_ms = round(1000 * FRAMING_BYTES / (FRAMING_SHARE * rate))
    return min(max(FLUSH_MS, wait_ms), LONGEST_FLUSH_MS)
