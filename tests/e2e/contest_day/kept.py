"""What a store holds of the day's boards: every edge that was played, once, at its time."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from unspool.instrument.record import RunContext
from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.wire.decoded import BoardHello, EdgeBatch
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Store


def edges_in_captures(store: Store) -> dict[int, set[int]]:
    """Numbers of each board's edges, by its boot number."""
    found: dict[int, set[int]] = defaultdict(set)
    for capture in store.captures():
        reader, boot = CaptureReader(RunContext(), capture.known), 0
        for heard in (one for chunk in store.chunks(capture.id) for one in reader.feed(chunk)):
            if isinstance(heard, BoardHello):
                boot = heard.boot
            elif isinstance(heard, EdgeBatch):
                found[boot].update(heard.number.tolist())
    return found


def trains_by_car(store: Store) -> dict[str, list[PulseTrain]]:
    found: dict[str, list[PulseTrain]] = defaultdict(list)
    for row in store.runs():
        found[row.car or ""].append(store.run(row.id).train)
    return found


def holds(stored: PulseTrain, true: PulseTrain) -> bool:
    """Whether the stored run ends with all true edges, each at its time after the first of them."""
    n = len(true)
    if len(stored) < n or stored.missing or stored.lost_before:
        return False
    last = slice(len(stored) - n, None)
    since = stored.time_s[last] - stored.time_s[last][0]
    same_times = np.allclose(since, true.time_s - true.time_s[0], atol=2e-4)
    return bool(same_times and np.array_equal(stored.direction[last], true.direction))
