"""The sentence of each finding, made from its code and its values.

Each package that returns findings has one module of sentences here, with a table `TEXTS` from code
to a function of the values. This module joins the tables. Another language needs other tables only.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from importlib import import_module

from unspool.finding import Finding, Severity
from unspool.render.words.values import Text

# In the order in which they are looked through.
_TABLES = (
    *("prediction", "reading", "rollout", "comparison"),
    *("calibration", "plan", "board", "sensors", "contest"),
)


class _Texts(Mapping[str, Text]):
    """The tables as one. A table is loaded when a code was in none before it.

    Each imports its package's codes, and with them all that the package computes with. A command
    that shows a prediction does without calibration and comparison.
    """

    def __init__(self) -> None:
        self._texts: dict[str, Text] = {}
        self._left = list(_TABLES)

    def __getitem__(self, code: str) -> Text:
        while code not in self._texts and self._left:
            self._load_next()
        return self._texts[code]

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def _all(self) -> dict[str, Text]:
        while self._left:
            self._load_next()
        return self._texts

    def _load_next(self) -> None:
        table: dict[str, Text] = import_module(f"unspool.render.words.{self._left.pop(0)}").TEXTS
        self._texts.update(table)


TEXTS: Mapping[str, Text] = _Texts()


def sentence(finding: Finding) -> str:
    """Returns the finding in one or two plain sentences, units included."""
    return TEXTS[finding.code](finding.values)


def warnings_first(findings: Iterable[Finding]) -> list[Finding]:
    """Warnings, then notes, each in the order in which they were found."""
    return sorted(findings, key=lambda finding: finding.severity is not Severity.WARNING)
