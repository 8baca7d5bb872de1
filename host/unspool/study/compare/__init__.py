"""Groups of runs. Readings come in, with what was changed between them.

A Comparison goes out: how well each group repeats, and how groups differ.
"""

from unspool.study.compare.along import AlongTrack, along
from unspool.study.compare.codes import ComparisonCode
from unspool.study.compare.compare import compare
from unspool.study.compare.grouping import ASPECTS
from unspool.study.compare.quantities import QUANTITIES, Quantity
from unspool.study.compare.size import by_size
from unspool.study.compare.types import (
    ComparedRun,
    Comparison,
    Difference,
    Distinction,
    Group,
    GroupSummary,
    LeftOut,
)

__all__ = [
    "ASPECTS",
    "QUANTITIES",
    "AlongTrack",
    "ComparedRun",
    "Comparison",
    "ComparisonCode",
    "Difference",
    "Distinction",
    "Group",
    "GroupSummary",
    "LeftOut",
    "Quantity",
    "along",
    "by_size",
    "compare",
]
