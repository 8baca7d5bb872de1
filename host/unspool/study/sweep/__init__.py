"""A car that is not built yet. Ranges of its sizes come in.

A Sweep goes out: what each set of sizes achieves, what limits it, and the best set.
"""

from unspool.study.sweep.axes import Axis, Varied, axis_of, evenly, usual_steps
from unspool.study.sweep.sweep import sweep
from unspool.study.sweep.types import BestSet, NearlyBest, Sweep

__all__ = [
    "Axis",
    "BestSet",
    "NearlyBest",
    "Sweep",
    "Varied",
    "axis_of",
    "evenly",
    "sweep",
    "usual_steps",
]
