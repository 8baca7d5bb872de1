"""BoardRecord: one boot of one board as it is recorded: its reader, its capture and its runs."""

from __future__ import annotations

from dataclasses import dataclass, field

from unspool.instrument.record.capture_reader import CaptureReader
from unspool.instrument.record.run_events import RunOver
from unspool.store import BoardKey, CaptureLog, Chunk

LONG_BYTES = 64_000  # a longer capture is followed by another once the car rests: read in a moment


@dataclass
class BoardRecord:
    """over: the runs that this recorder saw or read again. size_bytes: of the capture."""

    key: BoardKey | None
    reader: CaptureReader
    log: CaptureLog
    over: list[RunOver] = field(default_factory=list)
    size_bytes: int = 0

    def append(self, chunk: Chunk, stray_bytes: int) -> None:
        """Raises StoreError."""
        self.log.append(chunk.arrived_s, chunk.data, chunk.origin, stray_bytes)
        self.size_bytes += len(chunk.data)

    @property
    def may_be_followed(self) -> bool:
        """Whether another capture can take over: nothing that comes later needs this one."""
        return self.size_bytes >= LONG_BYTES and self.reader.detector.is_idle
