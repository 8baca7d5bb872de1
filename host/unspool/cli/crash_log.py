"""A log file with the traceback of a fault of ours, for a bug report."""

from __future__ import annotations

import platform
import tempfile
import traceback
from datetime import datetime
from pathlib import Path

from platformdirs import user_log_path

import unspool


def write_log(error: BaseException, arguments: list[str]) -> str:
    """Writes the traceback to a log file. Returns a sentence that says where it is."""
    what = f"unspool made a mistake of its own ({type(error).__name__}: {error})"
    for folder in (user_log_path("unspool", appauthor=False), Path(tempfile.gettempdir())):
        try:
            path = _write(folder, error, arguments)
        except OSError:
            continue
        return f"{what}; please report it, with the file {path}"
    return f"{what}; please report it. No log file could be written."


def _write(folder: Path, error: BaseException, arguments: list[str]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"unspool-{datetime.now():%Y%m%d-%H%M%S-%f}.log"
    head = [
        f"unspool {unspool.__version__}, Python {platform.python_version()}, {platform.platform()}",
        f"arguments: {arguments!r}",
    ]
    path.write_text("\n".join([*head, "", *traceback.format_exception(error)]), encoding="utf-8")
    return path
