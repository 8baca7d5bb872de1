"""Files that a command writes. It never replaces a file by accident."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.errors import InputError
from unspool.whole_file import write_whole

Force = Annotated[bool, typer.Option("--force", help="Replace the file if it exists.")]
PageFile = Annotated[
    Path | None,
    typer.Option("--html", help="Also write one page with pictures.", metavar="FILE"),
]


def write_new(path: Path, content: str | bytes, *, force: bool) -> None:
    """Writes `content`, a text in UTF-8, to `path` in one step.

    Raises InputError if the file exists and `force` is not given, or if it cannot be written.
    """
    refuse_to_replace(path, force=force)
    write_whole(path, content)


def refuse_to_replace(path: Path, *, force: bool) -> None:
    """Raises InputError if the file exists and `force` is not given."""
    if not force and _is_there(path):
        raise InputError(f"{path} exists already; choose another name, or add --force")


def _is_there(path: Path) -> bool:
    """Whether a file is there. Raises InputError when its folder cannot be looked into."""
    try:
        return path.is_file()
    except OSError as error:  # a name too long, a folder that may not be entered
        reason = error.strerror or str(error)
        raise InputError(f"{path} cannot be written ({reason}); choose another place") from error
