"""A tower or a weight that swings."""

from __future__ import annotations

import numpy as np

from unspool.finding import Finding, warning_if
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.oscillation import Tone
from unspool.reading.events.trace import Trace

STRONG_M_S2 = 0.1  # of a sway that costs more than a note's worth


def swaying(tone: Tone, trace: Trace) -> Finding:
    begin, end = trace.at(np.array([tone.begin_s, tone.end_s]))[0]
    first, last = tone.hz
    return warning_if(
        tone.amplitude_m_s2 > STRONG_M_S2,
        ReadingCode.SWAYING,
        begin_m=float(begin),
        end_m=float(end),
        amplitude_m_s2=float(tone.amplitude_m_s2),
        of_weight=bool(tone.of_weight),
        first_hz=float(first),
        last_hz=float(last),
    )
