"""Names that people type: which of them are the same."""

from __future__ import annotations

import unicodedata


def name_key(name: str) -> str:
    """Equal for names that differ only in case, in spaces or in how accents are encoded."""
    return unicodedata.normalize("NFC", " ".join(name.split()).casefold())
