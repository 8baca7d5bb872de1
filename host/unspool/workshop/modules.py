"""Sensors and boards that builders buy: the measures that a drawing needs, in millimetres.

From memory, of the common makes. They differ from shop to shop, so each drawing says them again to
be compared with the parts at hand, and the command takes others.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class SensorKind(StrEnum):
    FORK = "fork"  # looks through the slots of a disc
    REFLECTIVE = "reflective"  # looks at a printed pattern
    HALL = "hall"  # looks at magnets


@dataclass(frozen=True)
class SensorModule:
    """A sensor on its small circuit board."""

    kind: SensorKind
    width_mm: float  # along the direction in which the wheel passes
    body_mm: tuple[float, float]  # of the sensor itself, width and length
    hole_mm: float
    hole_from_beam_mm: float  # from what the sensor looks at to the middle of its screw hole
    gap_mm: float  # between a fork's arms, or from a sensor's face to what it looks at
    above_board_mm: float = 0.0  # from a fork's beam to its circuit board, the nearest solid part
    reach_mm: float = 0.0  # from a fork's beam to the floor between its arms


MODULES = {
    SensorKind.FORK: SensorModule(
        SensorKind.FORK, 15.0, (6.4, 14.0), 3.2, 15.0, 5.0, above_board_mm=9.0, reach_mm=6.0
    ),
    SensorKind.REFLECTIVE: SensorModule(SensorKind.REFLECTIVE, 14.0, (6.4, 10.8), 3.2, 16.0, 3.0),
    SensorKind.HALL: SensorModule(SensorKind.HALL, 15.0, (4.6, 4.0), 3.2, 14.0, 3.0),
}


@dataclass(frozen=True)
class BoardShape:
    """holes: middles of the screw holes from the lower left corner. Without holes, ties hold it."""

    length_mm: float
    width_mm: float
    hole_mm: float = 0.0
    holes: tuple[tuple[float, float], ...] = ()


_UNO = ((14.0, 2.5), (15.2, 50.8), (66.0, 7.6), (66.0, 35.5))
_MEGA = (*_UNO, (90.2, 50.8), (96.5, 2.5))

BOARDS = {
    "nano": BoardShape(45.0, 18.5),
    "uno": BoardShape(68.6, 53.4, 3.2, _UNO),
    "mega": BoardShape(101.6, 53.4, 3.2, _MEGA),
    "pico": BoardShape(51.0, 21.0, 2.1, ((2.0, 4.8), (2.0, 16.2), (49.0, 4.8), (49.0, 16.2))),
}
