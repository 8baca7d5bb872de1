"""The files whose English is checked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from prose import c_code, markdown, python_code
from prose.rules import Offence, Passage, offences

ROOT = Path(__file__).parents[2]
PAGES = ("*.md", "docs/**/*.md", "hardware/**/*.md", "firmware/**/*.md")
PYTHON = ("host/**/*.py", "docs/**/*.py", "hardware/**/*.py", "firmware/**/*.py", "tests/**/*.py")
C = ("firmware/core/*.[ch]", "firmware/sim/*.[ch]", "firmware/boards/**/*.[ch]")
WEB = ("host/**/*.js", "host/**/*.css", "firmware/sim/**/*.js")
NOT_OURS = {"build", "node_modules"}


def checked_files(root: Path = ROOT) -> list[Path]:
    """Pages, Python, C, scripts and styles, but nothing that was made or installed."""
    found = {path for pattern in (*PAGES, *PYTHON, *C, *WEB) for path in root.glob(pattern)}
    return sorted(path for path in found if not NOT_OURS & set(path.relative_to(root).parts))


def file_offences(path: Path, root: Path = ROOT) -> list[Offence]:
    """In the order of their lines."""
    found = [one for passage in _passages(path, root) for one in offences(passage)]
    return sorted(found, key=lambda one: one.line)


def _passages(path: Path, root: Path) -> Iterator[Passage]:
    source = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        return markdown.passages(source)
    if path.suffix == ".py":
        # Only the package speaks to users; a test's strings are data.
        return python_code.passages(source, with_texts=path.is_relative_to(root / "host"))
    return c_code.passages(source, with_texts=path.suffix == ".js")
