"""What was tried, kept in a file so that a run goes on when it was broken off."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from pathlib import Path

from hard.hard_class import HardClass, Tried


class Progress:
    """One line a case in `path`; what is there already is not tried again."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._cases: dict[tuple[str, int], Tried] = {}
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists():
            for line in path.read_text().splitlines():
                kept = json.loads(line)
                self._cases[kept["class"], kept["case"]] = Tried(kept["what"], kept["faults"])

    def has(self, name: str, case: int) -> bool:
        return (name, case) in self._cases

    def keep(self, name: str, case: int, tried: Tried) -> None:
        self._cases[name, case] = tried
        kept = {"class": name, "case": case, "what": tried.what, "faults": tried.faults}
        with self._path.open("a") as file:
            file.write(json.dumps(kept) + "\n")

    def failed(self) -> list[tuple[str, int, Tried]]:
        return [(*key, tried) for key, tried in sorted(self._cases.items()) if tried.faults]

    def rows(self, classes: Sequence[HardClass]) -> Iterable[tuple[str, int, int, int, str]]:
        """Name, tried, held, failed and what it is, of each class that was tried."""
        for one in classes:
            mine = [tried for (name, _), tried in self._cases.items() if name == one.name]
            if mine:
                bad = sum(bool(tried.faults) for tried in mine)
                yield one.name, len(mine), len(mine) - bad, bad, one.about


def as_markdown(rows: Iterable[tuple[str, int, int, int, str]]) -> str:
    """The table as docs/hard-use.md has it."""
    head = ["| class | tried | held | failed | what it is |", "|---|---|---|---|---|"]
    return "\n".join([*head, *(f"| {' | '.join(map(str, row))} |" for row in rows)])
