"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from unspool.errors import InputError
from unspool.language import _


def write_whole(path: Path, content: str | bytes) -> None:
    """Writes `content`, a text in UTF-8, to `path` in one step; a file that is there is replaced.

    After a power cut `path` is the old file or the new one, never a part of one.
    Raises InputError when the place cannot be written.
    """
    try:
        _replace(path, content if isinstance(content, bytes) else content.encode("utf-8"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(
            _("{path} cannot be written ({reason}); choose another place", path=path, reason=reason)
        ) from error


def _replace(path: Path, data: bytes) -> None:
    """A half-written file never carries the name: the content goes beside it first.

    Only a file can be replaced; a pipe or a device is written to.
    """
    if path.exists() and not path.is_file():
        path.write_bytes(data)
        return
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())  # else a power cut may leave the new name without content
        beside.chmod(0o666 & ~_umask())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _umask() -> int:
    current = os.umask(0o077)
    os.umask(current)
    return current
