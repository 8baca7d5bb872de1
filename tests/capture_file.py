"""Writes a capture file, as docs/formats.md lays it out."""

from __future__ import annotations

from pathlib import Path
from struct import pack


def write_capture_file(path: Path, records: list[tuple[float, bytes]]) -> None:
    """records: (seconds since the first, bytes)."""
    packed = (pack("<QI", round(1e6 * at), len(data)) + data for at, data in records)
    path.write_bytes(b"unspool capture 1\n" + b"".join(packed))
