"""Coverage-guided fuzzing of the host's decoder, outside the test suite.

Needs the atheris package (Linux): `pip install atheris`, then
`python tests/fuzz/conversation.py -runs=1000000 -max_len=1200`. It runs until the runs are done or
an invariant breaks, and then writes the input that broke it.
"""

from __future__ import annotations

import contextlib
import sys
from pathlib import Path

import atheris

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "host"))
with atheris.instrument_imports(include=["unspool.instrument.wire"]):
    from unspool.errors import BoardError
    from unspool.instrument.wire import (
        BoardHello,
        Conversation,
        Decoded,
        EdgeBatch,
        EdgeGap,
        ResumePoint,
        SensorSamples,
        cobs,
    )
    from unspool.instrument.wire.crc import with_crc
    from unspool.instrument.wire.frames import frame
    from unspool.instrument.wire.messages import Edges, Hello, Sensors
    from unspool.instrument.wire.table import TABLE_HASH

BOOT = 0x1234


def hello(*places: int) -> bytes:
    return frame(Hello(TABLE_HASH, 250_000, BOOT, 20, 20, 0, *places, firmware="fuzz"))


def some_bytes(fuzzed: atheris.FuzzedDataProvider) -> bytes:
    """Noise, or frames that pass their CRC with whatever inside."""
    match fuzzed.ConsumeIntInRange(0, 4):
        case 0:
            return bytes(fuzzed.ConsumeBytes(fuzzed.ConsumeIntInRange(0, 90)))
        case 1:
            position, marks = fuzzed.ConsumeIntInRange(0, 300), fuzzed.ConsumeIntInRange(0, 15)
            log = fuzzed.ConsumeBytes(fuzzed.ConsumeIntInRange(0, 64))
            return frame(Edges(BOOT & 0xFF, position, marks, log))
        case 2:
            number, samples = fuzzed.ConsumeIntInRange(0, 0xFFFF), fuzzed.ConsumeBytes(66)
            return frame(Sensors(BOOT & 0xFF, number, samples))
        case 3:
            body = fuzzed.ConsumeBytes(fuzzed.ConsumeIntInRange(1, 70))
            return cobs.encode(with_crc(body)) + b"\0"
        case _:
            return hello(*(fuzzed.ConsumeIntInRange(0, 2000) for _ in range(6)))


class Judge:
    """Invariant: numbers go on, and every hole is reported, until a hello starts them again.

    Those of a check's samples go up.
    """

    def __init__(self) -> None:
        self.last: int | None = None
        self.sample = -1

    def hear(self, heard: Decoded) -> None:
        if isinstance(heard, BoardHello):
            self.last = None
        elif isinstance(heard, EdgeBatch):
            assert (heard.number[1:] - heard.number[:-1] == 1).all()
            assert self.last is None or heard.number[0] == self.last + 1
            self.last = int(heard.number[-1])
        elif isinstance(heard, EdgeGap):
            assert heard.count > 0
            assert self.last is None or heard.first == self.last + 1
            self.last = heard.first + heard.count - 1
        elif isinstance(heard, SensorSamples):
            assert heard.number[0] > self.sample
            assert (heard.number[1:] - heard.number[:-1] == 1).all()
            self.sample = int(heard.number[-1])


def one_input(data: bytes) -> None:
    fuzzed = atheris.FuzzedDataProvider(data)
    known = ResumePoint(BOOT, 5) if fuzzed.ConsumeBool() else None
    host, judge, now = Conversation(known), Judge(), 0.0
    host.to_send(now)
    host.receive(hello(0, 5, 0, 5, 10, 5))
    if fuzzed.ConsumeBool():
        host.check()
    while fuzzed.remaining_bytes():
        for heard in host.receive(some_bytes(fuzzed)):
            judge.hear(heard)
        with contextlib.suppress(BoardError):
            host.raise_if_refused()
        if fuzzed.ConsumeBool():
            host.stored()
        now += 0.1
        host.to_send(now)


if __name__ == "__main__":
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
