"""The version of the code that makes what is kept: it changes by itself when that code changes."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy
import scipy

# All that readings and calibrations are computed with, and how they are kept. A test compares this
# with what is loaded.
_ROOT = Path(__file__).parents[1]
_PACKAGES = ("car", "model", "reading", "study", "kept")


def code_version() -> str:
    """A digest over the source of what is kept is made with, and over the libraries' versions.

    The last digit may depend on the libraries and the machine, too.
    """
    return _LOADED


def is_unchanged() -> bool:
    """Whether the source is still what this process began with; an update may have replaced it."""
    try:
        return _digest() == _LOADED
    except OSError:  # the update is under way
        return False


def _digest() -> str:
    digest = hashlib.sha256()
    for path in sources():
        digest.update(f"{path.relative_to(_ROOT).as_posix()}\0".encode())
        digest.update(path.read_bytes())
    libraries = (numpy.__version__, scipy.__version__, sys.version, sys.platform)
    digest.update("\0".join(libraries).encode())
    return digest.hexdigest()


def sources() -> list[Path]:
    """The source files that count."""
    inside = [path for name in _PACKAGES for path in sorted((_ROOT / name).rglob("*.py"))]
    return [*sorted(_ROOT.glob("*.py")), *inside]


_LOADED = _digest()  # now, before the code that it stands for is loaded
