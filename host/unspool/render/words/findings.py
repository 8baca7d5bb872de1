"""The sentence of each finding, made from its code and its values.

Each package that returns findings has one module of sentences here, with a table `TEXTS` from code
to a function of the values. This module joins the tables. Another language needs other tables only.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from unspool.finding import Finding, Value

Values = Mapping[str, Value]
Text = Callable[[Values], str]

TEXTS: dict[str, Text] = {}


def sentence(finding: Finding) -> str:
    """Returns the finding in one or two plain sentences, units included."""
    return TEXTS[finding.code](finding.values)
