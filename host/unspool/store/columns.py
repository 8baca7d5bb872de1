"""A run's edges as three compressed columns, and the digest that identifies a run."""

from __future__ import annotations

import hashlib
import zlib

import numpy as np

from unspool.errors import StoreError
from unspool.language import _
from unspool.reading.edges.pulse_train import PulseTrain

# Little-endian whatever the machine, so that a store can move between machines.
_TIME, _DIRECTION, _NUMBER = np.dtype("<f8"), np.dtype("i1"), np.dtype("<i8")


def pack(train: PulseTrain) -> dict[str, bytes]:
    """The train's columns under the names that the runs table gives them."""
    return {
        "time_s": zlib.compress(train.time_s.astype(_TIME).tobytes()),
        "direction": zlib.compress(train.direction.astype(_DIRECTION).tobytes()),
        "number": zlib.compress(np.diff(train.number, prepend=0).astype(_NUMBER).tobytes()),
    }


def unpack(time_s: bytes, direction: bytes, number: bytes) -> PulseTrain:
    """The exact train that `pack` was given. Raises StoreError when the columns are damaged."""
    try:
        times = np.frombuffer(zlib.decompress(time_s), _TIME)
        signs = np.frombuffer(zlib.decompress(direction), _DIRECTION)
        steps = np.frombuffer(zlib.decompress(number), _NUMBER)
    except (zlib.error, ValueError) as error:
        raise StoreError(_("the edges of this run are damaged in the store")) from error
    if not len(times) == len(signs) == len(steps):
        raise StoreError(_("the edges of this run are damaged in the store"))
    return PulseTrain(times.astype(float), signs.astype(np.int8), np.cumsum(steps, dtype=np.int64))


def import_identity(train: PulseTrain, car_text: str, track_text: str | None) -> str:
    """Equal for the same edges with the same car and track: the file's name does not matter."""
    digest = hashlib.sha256()
    for column in pack_plain(train):
        digest.update(column)
    digest.update(b"\0car\0" + car_text.encode())
    digest.update(b"\0track\0" + (track_text or "").encode())
    return "import:" + digest.hexdigest()


def pack_plain(train: PulseTrain) -> tuple[bytes, bytes]:
    """Times and directions, uncompressed, in the byte order that the digest is defined on."""
    return train.time_s.astype(_TIME).tobytes(), train.direction.astype(_DIRECTION).tobytes()
