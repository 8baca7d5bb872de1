"""Questions about a car for a class. A car and its floor come in.

A Worksheet goes out: what to work out before the run, what may change if the car does, and the
right answers. Answers that pupils give come in, and marks go out.
"""

from unspool.study.worksheet.mark import LARGEST_ERROR, Mark, mark
from unspool.study.worksheet.questions import after_run, worksheet
from unspool.study.worksheet.types import Ask, Change, Choice, Number, Option, Question, Worksheet

__all__ = [
    "LARGEST_ERROR",
    "Ask",
    "Change",
    "Choice",
    "Mark",
    "Number",
    "Option",
    "Question",
    "Worksheet",
    "after_run",
    "mark",
    "worksheet",
]
