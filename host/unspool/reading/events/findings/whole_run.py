"""What the whole run tells: energy that does not add up, a way back."""

from __future__ import annotations

from unspool.reading.events.findings.evidence import WARNING, Seen
from unspool.reading.events.types import Finding
from unspool.reading.motion.types import Motion

OPEN_SHARE = 0.1  # of the stored energy, unexplained, that is worth a word


def open_energy(seen: Seen) -> list[Finding]:
    rest, stored = seen.energy.unexplained, seen.energy.stored
    if rest is None or abs(rest) < OPEN_SHARE * stored:
        return []
    if seen.motion.spun and rest > 0.0:  # what the sliding tyre ate
        return []
    way = "more went than" if rest < 0.0 else "less went than"
    return [
        Finding(
            "energy_unexplained",
            WARNING,
            f"{abs(rest):.2f} J of {stored:.2f} J do not add up: {way} the weight gave. Check the "
            "masses, the drop, the rolling circumference and the pulses per turn in the car file, "
            "and whether a hand pushed.",
        )
    ]


def rolled_back(motion: Motion) -> Finding:
    back = motion.furthest_m - motion.stop_m
    text = (
        f"The car rolled back {back:.2f} m from its furthest point: the floor there is steeper "
        "than its rolling resistance holds. Use less energy or another line."
    )
    return Finding("rollback", WARNING, text)
