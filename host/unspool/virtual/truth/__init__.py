"""Seeded runs with known answers, by a solver that shares no formula with the model. A car, a
track and a seed come in.

Edges and the true events go out.
"""

from unspool.virtual.truth.cars import random_car
from unspool.virtual.truth.imperfections import PERFECT, USUAL, Imperfections
from unspool.virtual.truth.run import TrueEnergy, TrueRun, run
from unspool.virtual.truth.run_state import TrueEvent
from unspool.virtual.truth.winding import session_train, winding_train

__all__ = [
    "PERFECT",
    "USUAL",
    "Imperfections",
    "TrueEnergy",
    "TrueEvent",
    "TrueRun",
    "random_car",
    "run",
    "session_train",
    "winding_train",
]
