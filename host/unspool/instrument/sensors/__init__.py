"""Whether the two sensors see the disc as they should: what they showed in, builder's words out."""

from unspool.instrument.sensors.findings import Grade, Remark
from unspool.instrument.sensors.verdict import Verdict, judge
from unspool.instrument.sensors.waves import Wave, wave

__all__ = ["Grade", "Remark", "Verdict", "Wave", "judge", "wave"]
