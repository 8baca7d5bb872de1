"""Seeded runs with known answers, by a solver that shares no formula with the model."""

from unspool.virtual.truth.cars import random_car
from unspool.virtual.truth.imperfections import PERFECT, USUAL, Spoil
from unspool.virtual.truth.leg_ends import Happening
from unspool.virtual.truth.run import TrueEnergy, TrueRun, run
from unspool.virtual.truth.winding import session, winding

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
