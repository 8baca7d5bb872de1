"""The option that asks for a sheet of paper in another language."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Annotated

import typer

from unspool.errors import one_fault
from unspool.language import LANGUAGES, in_language

SheetLanguage = Annotated[
    str, typer.Option("--language", help=f"Language of the sheet: {', '.join(LANGUAGES)}.")
]


def sheet_language(code: str) -> AbstractContextManager[None]:
    """All that is said inside is in that language. Raises InputError for one that there is not."""
    if code not in LANGUAGES:
        raise one_fault("--language", code, f"one of {', '.join(LANGUAGES)}")
    return in_language(code)
