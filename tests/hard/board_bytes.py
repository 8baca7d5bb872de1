"""What a board says on one run, as bytes for a replay link, without waiting for real time."""

from __future__ import annotations

from functools import cache

from unspool.instrument.wire import BoardSide, Conversation
from unspool.virtual.demo.board import STAMP_HZ, STEP_S
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

QUIET_S = 8.0  # after the last edge, so that the run is seen to be over


@cache
def script(runs: int = 1, seed: int = 3) -> WheelScript:
    return wheel_script(sandpiper(), corridor(), runs=runs, seed=seed, first_s=4.0)


@cache
def said(boot: int = 7, seed: int = 3) -> bytes:
    """All bytes of a board that is listened to from its start."""
    edges, board, host, out = script(1, seed).edges, BoardSide(boot), Conversation(), bytearray()
    now, due = 0.0, 0
    while now < edges[-1][0] + QUIET_S:
        now += STEP_S
        while due < len(edges) and edges[due][0] <= now:
            board.edge(int(edges[due][0] * STAMP_HZ), edges[due][1])
            due += 1
        data = board.to_send(int(now * STAMP_HZ))
        out += data
        if data:
            host.receive(data)
            host.stored()
        board.receive(host.to_send(now))
    return bytes(out)
