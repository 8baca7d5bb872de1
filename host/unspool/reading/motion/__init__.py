"""From edges to motion. A PulseTrain and the car's encoder come in.

Distance, speed and acceleration at each edge go out, with their uncertainty.
"""

from unspool.reading.motion.follow import follow
from unspool.reading.motion.live import LiveMotion, LivePoints
from unspool.reading.motion.types import Motion

__all__ = ["LiveMotion", "LivePoints", "Motion", "follow"]
