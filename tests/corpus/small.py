"""The small part of the corpus that stands in the repository, a file a class."""

from __future__ import annotations

import json
from itertools import groupby
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "frozen"


def write_small(found: dict[str, Any]) -> None:
    """Writes each class of answers to its file."""
    for kind, names in groupby(found, key=lambda name: name.split("/")[0]):
        answers = {name: found[name] for name in names}
        path = FOLDER / f"{kind}.json"
        path.write_text(json.dumps(answers, indent=1) + "\n", encoding="utf-8")


def read_small() -> dict[str, Any]:
    """Every frozen answer of the small part by the name of its case."""
    found: dict[str, Any] = {}
    for path in sorted(FOLDER.glob("*.json")):
        found |= json.loads(path.read_text(encoding="utf-8"))
    return found
