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
from unspool.language import _

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
            raise self.refusal(
                _("is larger than a bundle can be, {most} MiB", most=LARGEST_BUNDLE_BYTES >> 20)
            )
        if data.count(_ENTRY) > MOST_FILES:
            raise self.refusal(_("holds more files than a bundle can, {most}", most=MOST_FILES))
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
        except _DAMAGE:
            raise self.refusal(_("is cut short or damaged; copy it again")) from None
        self._entries: dict[str, zipfile.ZipInfo] = {}
        for entry in self._zip.infolist():
            self._add(entry)

    def refusal(self, why: str) -> BundleError:
        return BundleError(_("{name}: {why}; nothing of it was imported", name=self._name, why=why))

    def read(self, name: str) -> bytes:
        """The whole file. Raises InputError if there is none, or it is damaged or too large."""
        entry = self._entries.get(name)
        if entry is None:
            raise self.refusal(_("lacks the file {file}, so it is no whole bundle", file=name))
        most = min(LARGEST_FILE_BYTES, self._left)
        try:
            with self._zip.open(entry) as stream:
                data = stream.read(most + 1)
        except _DAMAGE:
            raise self.refusal(
                _("has a damaged file in it, {file}; copy it again", file=name)
            ) from None
        if len(data) > most:
            raise self.refusal(_("unpacks to more than a bundle can hold"))
        self._left -= len(data)
        return data

    def text(self, name: str) -> str:
        try:
            return self.read(name).decode("utf-8")
        except UnicodeDecodeError:
            raise self.refusal(_("has a file in it that is not UTF-8, {file}", file=name)) from None

    def _add(self, entry: zipfile.ZipInfo) -> None:
        shown = "".join(c if c.isprintable() else "?" for c in entry.filename[:60])
        if _TRICKS.search(entry.orig_filename) or _TRICKS.search(entry.filename):
            raise self.refusal(
                _('holds a file "{file}" that leads out of it, so it is no bundle', file=shown)
            )
        if entry.filename in self._entries:
            raise self.refusal(_('holds "{file}" twice, so it is no bundle', file=shown))
        if entry.compress_type not in _METHODS or entry.flag_bits & 1:
            raise self.refusal(_('holds "{file}" packed in a way that no bundle is', file=shown))
        self._entries[entry.filename] = entry
