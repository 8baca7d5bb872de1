"""Whether the sensors see the disc. Samples of both sensors come in.

A verdict goes out, with what to mend.
"""

from unspool.instrument.sensors.codes import SensorCode
from unspool.instrument.sensors.verdict import SensorVerdict, judge
from unspool.instrument.sensors.waves import Wave, wave

__all__ = ["SensorCode", "SensorVerdict", "Wave", "judge", "wave"]
