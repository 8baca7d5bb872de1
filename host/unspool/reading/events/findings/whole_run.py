"""What the whole run shows: energy that does not add up, a way back."""

from __future__ import annotations

from math import hypot

from unspool.car.measured import EFFICIENCY_HIGH, EFFICIENCY_LOW, drive_efficiency, measured
from unspool.finding import Finding, warning
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.motion.types import Motion

# An energy gap that no drive explains, in sds of what masses and drop are measured to, and as a
# share of the stored energy.
OPEN_SDS, OPEN_SHARE = 3.0, 0.05


def open_energy(seen: Evidence) -> list[Finding]:
    """A gap that no efficiency of the drive closes."""
    rest, stored = seen.energy.unexplained, seen.energy.stored
    if rest is None or (seen.motion.spun and rest > 0.0):  # what the sliding tyre ate
        return []
    low, high = _drives(seen)
    through = _through_drive(seen)
    beyond = max(rest - (seen.machine.efficiency - low) * through, 0.0)
    beyond = min(rest + (high - seen.machine.efficiency) * through, 0.0) or beyond
    if abs(beyond) < max(OPEN_SDS * _stored_share(seen), OPEN_SHARE) * stored:
        return []
    values = {"unexplained_j": float(rest), "beyond_j": float(beyond), "stored_j": float(stored)}
    return [warning(ReadingCode.ENERGY_UNEXPLAINED, **values)]


def _drives(seen: Evidence) -> tuple[float, float]:
    """The least and the most that the drive may pass on."""
    if seen.car.losses.drive_efficiency_sd is None:
        return EFFICIENCY_LOW, EFFICIENCY_HIGH
    mean, sd = drive_efficiency(seen.car)
    return mean - 2.0 * sd, mean + 2.0 * sd


def _through_drive(seen: Evidence) -> float:
    """What the weight gave through the string, in J."""
    lost = seen.energy.drive
    if lost is None or seen.machine.efficiency >= 1.0:
        return seen.energy.stored - (seen.energy.left_in_weight or 0.0)
    return lost / (1.0 - seen.machine.efficiency)


def _stored_share(seen: Evidence) -> float:
    """The sd of the stored energy, and of the car's mass that the coast's forces go with."""
    known, car = measured(seen.car), seen.car
    mass = hypot(known.body_kg, known.weight_kg, known.rotating_kg) / car.total_mass_kg
    return hypot(known.weight_kg / car.weight_mass_kg, known.drop_m / car.drop_m, mass)


def rolled_back(motion: Motion) -> Finding:
    return warning(ReadingCode.ROLLBACK, back_m=float(motion.furthest_m - motion.stop_m))
