"""What the sensor gave too much or too little, and edges that end too early."""

from __future__ import annotations

from unspool.events.findings.seen import NOTE, WARNING
from unspool.events.types import Finding
from unspool.motion.types import Motion

# Shares above which a note becomes a warning.
MANY_MISSING, MANY_CHATTER = 0.02, 0.02


def of_sensors(motion: Motion) -> list[Finding]:
    found = []
    total = max(len(motion.train), 1)
    if motion.handled:
        found.append(
            Finding(
                "handled",
                NOTE,
                f"{motion.handled} edges before or after the run are a hand's doing and were put "
                "aside.",
            )
        )
    if motion.missing:
        many = motion.missing > MANY_MISSING * total or motion.uncertain
        sure = (
            f" At {motion.uncertain} of the gaps it is not certain how many: distances after it "
            "may be off by a slot."
            if motion.uncertain
            else " All gaps were bridged with certainty."
        )
        found.append(
            Finding(
                "missing_edges",
                WARNING if many else NOTE,
                f"{motion.missing} edges are missing.{sure} Check the sensor's distance to the "
                "disc and shade it from bright light.",
            )
        )
    if motion.chatter:
        found.append(
            Finding(
                "chatter",
                WARNING if motion.chatter > MANY_CHATTER * total else NOTE,
                f"The sensor gave {motion.chatter} edges that no slot made. Clean the disc's "
                "slots and fix the sensor so that it cannot shake.",
            )
        )
    return found


def cut_short(motion: Motion) -> Finding:
    last = abs(float(motion.speed_m_s[-1]))
    return Finding(
        "cut_short",
        WARNING,
        f"The edges end while the car still did {last:.2f} m/s: it was caught, hit something or "
        "was no longer recorded. The distance is where it was last seen, no stop was measured.",
    )
