"""What a copy did, and how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

# What is copied, how many are done, of how many.
Progress = Callable[[str, int, int], None]


@dataclass
class Copied:
    """Counts of rows that are new in the target.

    Of each run that was chosen, new or not, `runs` gives the target's id by the source's. A run
    that was corrected in both stores is in `apart`, by the source's id; the target's stays as it
    is. The source's damaged rows are counted, and were left out.
    """

    sheets: int = 0
    captures: int = 0
    chunks: int = 0
    new_runs: int = 0
    grown_runs: int = 0
    corrections: int = 0
    damaged: int = 0
    events: int = 0  # of contests
    runs: dict[str, str] = field(default_factory=dict)
    apart: list[str] = field(default_factory=list)
    contests_apart: list[str] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """How many are new in all."""
        return (
            self.sheets
            + self.captures
            + self.chunks
            + self.new_runs
            + self.corrections
            + self.events
        )

    @property
    def renumbered(self) -> dict[str, str]:
        in_order = sorted(self.runs.items(), key=lambda one: int(one[0]))
        return {here: there for here, there in in_order if here != there}
