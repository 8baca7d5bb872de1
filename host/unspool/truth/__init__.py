"""Seeded runs with known answers, by a solver that shares no formula with the model."""

from unspool.truth.cars import random_car
from unspool.truth.run import TrueEnergy, TrueRun, run
from unspool.truth.spoil import PERFECT, USUAL, Spoil
from unspool.truth.watching import Happening
from unspool.truth.winding import session, winding

__all__ = [
    "PERFECT",
    "USUAL",
    "Happening",
    "Spoil",
    "TrueEnergy",
    "TrueRun",
    "random_car",
    "run",
    "session",
    "winding",
]
