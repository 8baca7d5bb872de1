"""A tower or a weight that swings."""

from __future__ import annotations

import numpy as np

from unspool.reading.events.findings.evidence import NOTE, WARNING
from unspool.reading.events.law import Trace
from unspool.reading.events.oscillation import Tone
from unspool.reading.events.types import Finding

STRONG_M_S2 = 0.1  # of a sway that costs more than a note's worth


def swaying(tone: Tone, trace: Trace) -> Finding:
    begin, end = trace.at(np.array([tone.begin_s, tone.end_s]))[0]
    place = f"From {begin:.2f} to {end:.2f} m"
    push = f"to and fro by {tone.amplitude_m_s2:.2g} m/s2"
    if tone.of_weight:
        text = (
            f"{place} the hanging weight swung and pushed the car {push}, at first "
            f"{tone.hz[0]:.1f} times a second and {tone.hz[1]:.1f} in the end, as the string grew. "
            "Let go only when the weight hangs still, shorten its free string, or guide it between "
            "two wires."
        )
    else:
        text = (
            f"{place} something swung {tone.hz[0]:.1f} times a second and pushed the car {push}: "
            "the tower, or the weight in it. Brace the tower, guide the weight, and let go only "
            "when it hangs still."
        )
    strong = tone.amplitude_m_s2 > STRONG_M_S2
    return Finding("swaying", WARNING if strong else NOTE, text)
