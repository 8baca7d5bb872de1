"""What moved between two sets of answers: every leaf with its path, old, new and by how much."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import shorten
from typing import Any

from corpus.plain import DIGEST

NOTHING = "(nothing)"
# With `within`, a smaller difference is what rounding leaves of a sum that comes to 0.
ROUNDING = 1e-12
LONGEST = 80  # of a value that is printed
# An answer with one of these keys has no other.
INSTEAD = ("refused", "crashed", "no case")


@dataclass(frozen=True)
class Moved:
    """share: the difference as a share of the larger number; None if they are no numbers."""

    path: str
    old: Any
    new: Any
    share: float | None

    @property
    def case(self) -> str:
        return self.path.split(":")[0]

    @property
    def kind(self) -> str:
        return self.path.split("/")[0]

    def __str__(self) -> str:
        share = "" if self.share is None else f"  ({self.share:.2e})"
        old, new = (shorten(repr(one), LONGEST) for one in (self.old, self.new))
        return f"{self.path}: {old} -> {new}{share}"


def moved(old: Any, new: Any, path: str, within: float = 0.0) -> Iterator[Moved]:
    """Every leaf that differs by more than a share of `within`.

    With `within` above 0 arrays are compared by their samples alone, not by their digests, and
    differences up to ROUNDING do not count.
    """
    if isinstance(old, dict) and isinstance(new, dict):
        keys = dict.fromkeys((*old, *new))
        pairs = [(f".{k}", old.get(k, NOTHING), new.get(k, NOTHING)) for k in keys]
        pairs = [one for one in pairs if not (within and one[0] == f".{DIGEST}")]
    elif isinstance(old, list) and isinstance(new, list):
        longest = max(len(old), len(new))
        pairs = [(f"[{i}]", _item(old, i), _item(new, i)) for i in range(longest)]
    else:
        yield from _leaf(old, new, path, within)
        return
    for step, one, other in pairs:
        yield from moved(one, other, path + step, within)


def _item(values: list[Any], i: int) -> Any:
    return values[i] if i < len(values) else NOTHING


def _leaf(old: Any, new: Any, path: str, within: float) -> Iterator[Moved]:
    if _number(old) and _number(new):
        largest = max(abs(old), abs(new))
        share = abs(old - new) / largest if largest else 0.0
        if share > within and not (within and abs(old - new) <= ROUNDING):
            yield Moved(path, old, new, share)
    elif type(old) is not type(new) or old != new:
        yield Moved(path, old, new, None)


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def case_moved(name: str, old: Any, new: Any, within: float = 0.0) -> list[Moved]:
    """What moved in one case, its path beginning with the case's name and a colon."""
    if _instead(old) != _instead(new):
        return [Moved(f"{name}:", _instead(old), _instead(new), None)]
    found = list(moved(old, new, f"{name}:", within))
    return [Moved(one.path.replace(":.", ": ", 1), one.old, one.new, one.share) for one in found]


def _instead(answer: Any) -> str:
    """Why there is no answer, in a few words."""
    given = answer if isinstance(answer, dict) else {str(answer): True}
    return next((f"{key}: {given[key]}" for key in INSTEAD if key in given), "an answer")


def summary(found: list[Moved], asked: dict[str, int]) -> Iterator[str]:
    """A line a class: cases asked and moved, numbers moved, the largest share above ROUNDING."""
    for kind, count in asked.items():
        here = [one for one in found if one.kind == kind]
        cases = len({one.case for one in here})
        numbers = [one for one in here if one.share is not None]
        most = max((one.share for one in numbers if abs(one.old - one.new) > ROUNDING), default=0.0)
        line = f"{kind:12} {count:4} cases, {cases:4} moved"
        if here:
            line += f": {len(numbers)} numbers (up to {most:.2e}), "
            line += f"{len(here) - len(numbers)} digests and other values"
        yield line
