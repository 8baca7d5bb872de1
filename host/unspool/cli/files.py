"""Files that a command writes: whole or not at all, and never over another by accident."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from unspool.errors import InputError


def write_new(path: Path, content: str | bytes, *, force: bool) -> None:
    """Writes `content`, a text in UTF-8, to `path` in one step.

    Raises InputError when the file is there and `force` is not given, or cannot be written.
    """
    if path.is_file() and not force:
        raise InputError(f"{path} is already there; choose another name or add --force")
    try:
        _replace(path, content if isinstance(content, bytes) else content.encode("utf-8"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError(f"{path} cannot be written ({reason}); choose another place") from error


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
        beside.chmod(0o666 & ~_umask())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _umask() -> int:
    current = os.umask(0o077)
    os.umask(current)
    return current
