"""Whether the sensors see the disc. Samples of both sensors come in.

A verdict goes out, with what to mend.
"""

from unspool.instrument.sensors.findings import Grade, Remark
from unspool.instrument.sensors.verdict import Verdict, judge
from unspool.instrument.sensors.waves import Wave, wave

__all__ = ["Grade", "Remark", "Verdict", "Wave", "judge", "wave"]
