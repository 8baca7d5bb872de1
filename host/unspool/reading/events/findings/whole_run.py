"""What the whole run shows: energy that does not add up, a way back."""

from __future__ import annotations

from unspool.finding import Finding, warning
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.motion.types import Motion

OPEN_SHARE = 0.1  # of the stored energy, unexplained, that is worth a word


def open_energy(seen: Evidence) -> list[Finding]:
    rest, stored = seen.energy.unexplained, seen.energy.stored
    if rest is None or abs(rest) < OPEN_SHARE * stored:
        return []
    if seen.motion.spun and rest > 0.0:  # what the sliding tyre ate
        return []
    return [
        warning(ReadingCode.ENERGY_UNEXPLAINED, unexplained_j=float(rest), stored_j=float(stored))
    ]


def rolled_back(motion: Motion) -> Finding:
    return warning(ReadingCode.ROLLBACK, back_m=float(motion.furthest_m - motion.stop_m))
