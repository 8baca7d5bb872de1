"""Whether the two sensors see the disc as they should: what they showed in, builder's words out."""

from unspool.sensors.count import slot_pattern
from unspool.sensors.remarks import Grade, Remark
from unspool.sensors.verdict import Verdict, judge
from unspool.sensors.waves import Wave, wave

__all__ = ["Grade", "Remark", "Verdict", "Wave", "judge", "slot_pattern", "wave"]
