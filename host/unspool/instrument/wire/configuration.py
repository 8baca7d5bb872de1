"""What a host sets a board up with, for the link that it is on."""

from __future__ import annotations

from unspool.instrument.wire.flush import flush_for
from unspool.instrument.wire.messages import Configure
from unspool.instrument.wire.table import MOST_EDGES_PER_TURN


def configuration(
    edges_per_turn: int, flush_ms: int | None, rate: int | None, sensors: int
) -> Configure:
    """rate: bytes a second that the link carries, None for no limit. flush_ms None: by the rate.

    Raises ValueError if a value does not fit its field.
    """
    if flush_ms is None:
        flush_ms = flush_for(rate)
    byte_us = 0 if rate is None else round(1e6 / rate)
    edges_fit = 0 <= edges_per_turn <= MOST_EDGES_PER_TURN
    if not (edges_fit and 0 <= flush_ms <= 255 and 0 <= byte_us <= 65535 and sensors in (1, 2)):
        raise ValueError(
            f"cannot configure {edges_per_turn} edges, {flush_ms} ms, rate {rate},"
            f" {sensors} sensors"
        )
    return Configure(edges_per_turn, flush_ms, byte_us, sensors)
