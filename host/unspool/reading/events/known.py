"""What is known of a law's drags and string before its edges are seen.

Each is a Gaussian. If the edges say more, they win. If they say nothing, its width is that of the
answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from unspool.car.measured import drive_efficiency, measured
from unspool.car.track import Track
from unspool.car.vehicle import Car
from unspool.reading.events.law_parameters import CATCH, DRAG, DRIVE, LINEAR
from unspool.reading.events.masses import Masses

# Without a frontal area: of the size that such cars have, over their mass.
DRAG_UNKNOWN_PER_M, DRAG_UNKNOWN_SD = 0.006, 0.006
# A drag that grows with the speed, of greased or sealed bearings and of belts, in N s/m. A file
# that states one without its standard deviation may have it from another car.
LINEAR_SD_N_S_M, STATED_LINEAR_SHARE = 0.04, 0.3
# What a string passes on of the ideal impulse as it catches the weight. A string that gives passes
# on half of it, and one that springs back 1.1 of it. Most pass on nearly all.
USUAL_CATCH, CATCH_SD = 0.9, 0.17


@dataclass(frozen=True)
class Known:
    """A parameter of the law as it is known beforehand."""

    mean: float
    sd: float

    def misfit(self, value: float) -> float:
        """The square of the distance in sds."""
        return ((value - self.mean) / self.sd) ** 2


def known_of(car: Car, track: Track, masses: Masses) -> Mapping[str, Known]:
    """By the parameters' names."""
    return {
        DRAG: _drag(car, track, masses),
        LINEAR: _linear(car, masses),
        CATCH: _catch(car, masses),
        DRIVE: Known(1.0, _drive_sd(car, masses)),
    }


def _drag(car: Car, track: Track, masses: Masses) -> Known:
    share = measured(car).drag_area_share
    if share is None:
        return Known(DRAG_UNKNOWN_PER_M, DRAG_UNKNOWN_SD)
    drag = 0.5 * track.air_density_kg_m3 * car.drag_area_m2 / masses.free_kg
    return Known(drag, share * drag)


def _linear(car: Car, masses: Masses) -> Known:
    stated, sd = car.losses.linear_drag_n_s_per_m, car.losses.linear_drag_sd_n_s_per_m
    if sd is None:
        sd = hypot(LINEAR_SD_N_S_M, STATED_LINEAR_SHARE * stated)
    return Known(stated / masses.free_kg, sd / masses.free_kg)


def _catch(car: Car, masses: Masses) -> Known:
    """The strength that the law sees holds the drive's error too: levers come from the pull."""
    share = hypot(CATCH_SD / USUAL_CATCH, _drive_sd(car, masses))
    return Known(USUAL_CATCH, share * USUAL_CATCH)


def _drive_sd(car: Car, masses: Masses) -> float:
    """Of the weight's pull over the car's mass, as a share."""
    known, (efficiency, sd) = measured(car), drive_efficiency(car)
    free = hypot(known.body_kg, known.weight_kg, known.rotating_kg) / masses.free_kg
    return hypot(sd / efficiency, known.weight_kg / car.weight_mass_kg, free)
