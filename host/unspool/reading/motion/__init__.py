"""From edges to distance, speed and acceleration."""

from unspool.reading.motion.follow import follow
from unspool.reading.motion.live import LiveMotion, LivePoints
from unspool.reading.motion.types import Motion

__all__ = ["LiveMotion", "LivePoints", "Motion", "follow"]
