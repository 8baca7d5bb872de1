"""How many offences each file may still have: a number that only falls.

allowed.txt has one line a file, its number and its path. A file that is not listed may have none.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

ALLOWED = Path(__file__).with_name("allowed.txt")


def read_allowed(text: str) -> dict[str, int]:
    """Path -> number."""
    rows = (line.split(maxsplit=1) for line in text.splitlines() if line.strip())
    return {path: int(number) for number, path in rows}


def too_many(found: Mapping[str, int], allowed: Mapping[str, int]) -> list[str]:
    """Files with more offences than they may have."""
    return [path for path, number in found.items() if number > allowed.get(path, 0)]


def slack(found: Mapping[str, int], allowed: Mapping[str, int]) -> list[str]:
    """Files that are better than their line says, or are gone."""
    return [path for path, number in allowed.items() if found.get(path, 0) < number]


def lowered(found: Mapping[str, int], allowed: Mapping[str, int]) -> str:
    """The list with each number as low as it can be; none rises, and none is new."""
    low = {path: min(number, found.get(path, 0)) for path, number in allowed.items()}
    return "".join(f"{number} {path}\n" for path, number in sorted(low.items()) if number)
