"""A run that did not start, or not as the weight alone would start it."""

from __future__ import annotations

import numpy as np

from unspool.model.outcome import Prediction
from unspool.reading.events.findings.evidence import WARNING
from unspool.reading.events.law import Law
from unspool.reading.events.match_winding import Account
from unspool.reading.events.types import Finding
from unspool.reading.motion.types import Motion

# Fewer edges may be a wheel that was only nudged.
_A_RUN_OF_EDGES = 40


def did_not_start(motion: Motion, prediction: Prediction) -> Finding:
    train = motion.train
    if len(train) >= _A_RUN_OF_EDGES and np.all(train.direction < 0):
        text = (
            f"The wheel never went forward: all {len(train)} edges are backwards. If that was the "
            "run and not the winding, the sensors A and B are swapped: exchange their wires."
        )
        return Finding("did_not_start", WARNING, text)
    reason = (
        "The model agrees: this tier pulls with "
        f"{prediction.start_margin:.2f} of what it takes. Wind on a larger tier first."
        if not prediction.starts
        else "The model says that it should: look for a string that is caught, a rubbing wheel or "
        "a weight that was still held."
    )
    return Finding(
        "did_not_start",
        WARNING,
        f"The wheel never set off (edges seen: {len(train)}). {reason}",
    )


def of_start(account: Account, motion: Motion) -> list[Finding]:
    """A start that was not seen, or a wheel that ran ahead of what the drum can give."""
    law = account.fit.law
    if motion.spun:
        return [_slipped(law, motion)]
    if law.launch_speed > 0.0:
        text = (
            f"At the first edge the car already did {law.launch_speed:.2f} m/s. Distances count "
            "from there; start recording before the launch."
        )
        return [Finding("launch_not_seen", WARNING, text)]
    if not account.forced:
        return []
    first = account.forced[0]
    begin = law.kink_m[first - 1] if first else 0.0
    place = f"From {begin:.2f} to {law.kink_m[first]:.2f} m"
    if first == 0 and account.slipped:
        text = (
            f"{place} the wheel gained speed faster than the drum can drive the car, and then "
            "waited for it: the tyre slipped. Clean the tyre, put more load on the driven axle or "
            "start on a smaller tier."
        )
        return [Finding("slip_at_start", WARNING, text)]
    text = (
        f"{place} the car gained speed faster than the weight can drive it: a hand pushed it, or "
        "the wheel or the pulses per turn in the car file are wrong. What came after is not the "
        "weight's alone."
    )
    return [Finding("handled", WARNING, text)]


def _slipped(law: Law, motion: Motion) -> Finding:
    """A sliding tyre pushes its car steadily: the car goes half its speed times the time."""
    took = law.launch_s - motion.launch_s
    vain = max(law.begin_m - 0.5 * law.launch_speed * took, 0.0)
    text = (
        f"At the start the wheel spun for {took:.2f} s and turned {law.begin_m:.2f} m of its rim, "
        f"about {vain:.2f} m of it in vain, before the tyre gripped and it dropped to the car's "
        f"{law.launch_speed:.2f} m/s. All distances are the wheel's: the car itself is that much "
        "nearer to the start. Clean the tyre, put more load on the driven axle or start on a "
        "smaller tier."
    )
    return Finding("slip_at_start", WARNING, text)
