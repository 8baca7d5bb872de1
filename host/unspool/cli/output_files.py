"""Files that a command writes: never over another by accident."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from unspool.errors import InputError
from unspool.whole_file import write_whole

Force = Annotated[bool, typer.Option("--force", help="Replace a file that is there.")]
PageFile = Annotated[
    Path | None,
    typer.Option("--html", help="Write it as one page with pictures.", metavar="FILE"),
]


def write_new(path: Path, content: str | bytes, *, force: bool) -> None:
    """Writes `content`, a text in UTF-8, to `path` in one step.

    Raises InputError when the file is there and `force` is not given, or cannot be written.
    """
    if path.is_file() and not force:
        raise InputError(f"{path} is already there; choose another name or add --force")
    write_whole(path, content)
