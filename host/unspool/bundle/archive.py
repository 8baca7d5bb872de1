"""The files of a bundle's archive, read within bounds: nothing that it says of itself is believed.

No file is ever written to disk, so a name leads nowhere. A name that tries to is refused all the
same, as no unspool writes one.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib

from unspool.errors import InputError

LARGEST_BUNDLE_BYTES = 64 * 2**20
MOST_FILES = 10_000
LARGEST_FILE_BYTES = 32 * 2**20  # the manifest of 2,000 runs with long histories
MOST_BYTES_IN_ALL = 256 * 2**20
_START, _ENTRY = b"PK\x03\x04", b"PK\x01\x02"
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_TRICKS = re.compile(r"^[/\\]|^[A-Za-z]:|\\|\x00|(^|/)\.\.(/|$)")
_DAMAGE = (
    *(zipfile.BadZipFile, zlib.error, EOFError, OSError, struct.error),
    *(NotImplementedError, RuntimeError, ValueError, OverflowError, MemoryError),
)


class BundleError(InputError):
    """A file that is no bundle, or one that cannot be used."""


def is_bundle(data: bytes) -> bool:
    """Whether a file begins as a bundle does, and as no edge file can."""
    return data.startswith(_START)


class Archive:
    """The files of a bundle by name. `name` says in errors which bundle it is.

    Raises InputError for a file that is no sound archive, or larger than any bundle.
    """

    def __init__(self, data: bytes, name: str) -> None:
        self._name, self._left = name, MOST_BYTES_IN_ALL
        if len(data) > LARGEST_BUNDLE_BYTES:
            raise self.refusal(f"is larger than a bundle can be, {LARGEST_BUNDLE_BYTES >> 20} MiB")
        if data.count(_ENTRY) > MOST_FILES:
            raise self.refusal(f"holds more files than a bundle can, {MOST_FILES}")
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except _DAMAGE:
            raise self.refusal("is cut short or damaged; copy it again") from None
        self._entries: dict[str, zipfile.ZipInfo] = {}
        for entry in self._zip.infolist():
            self._add(entry)

    def refusal(self, why: str) -> BundleError:
        return BundleError(f"{self._name}: {why}; nothing of it was imported")

    def read(self, name: str) -> bytes:
        """The whole file. Raises InputError if there is none, or it is damaged or too large."""
        entry = self._entries.get(name)
        if entry is None:
            raise self.refusal(f"lacks the file {name}, so it is no whole bundle")
        most = min(LARGEST_FILE_BYTES, self._left)
        try:
            with self._zip.open(entry) as stream:
                data = stream.read(most + 1)
        except _DAMAGE:
            raise self.refusal(f"has a damaged file in it, {name}; copy it again") from None
        if len(data) > most:
            raise self.refusal("unpacks to more than a bundle can hold")
        self._left -= len(data)
        return data

    def text(self, name: str) -> str:
        try:
            return self.read(name).decode("utf-8")
        except UnicodeDecodeError:
            raise self.refusal(f"has a file in it that is not UTF-8, {name}") from None

    def _add(self, entry: zipfile.ZipInfo) -> None:
        shown = "".join(c if c.isprintable() else "?" for c in entry.filename[:60])
        if _TRICKS.search(entry.orig_filename) or _TRICKS.search(entry.filename):
            raise self.refusal(f'holds a file "{shown}" that leads out of it, so it is no bundle')
        if entry.filename in self._entries:
            raise self.refusal(f'holds "{shown}" twice, so it is no bundle')
        if entry.compress_type not in _METHODS or entry.flag_bits & 1:
            raise self.refusal(f'holds "{shown}" packed in a way that no bundle is')
        self._entries[entry.filename] = entry
