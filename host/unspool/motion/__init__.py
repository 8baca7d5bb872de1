"""From edges to distance, speed and acceleration."""

from unspool.motion.follow import follow
from unspool.motion.live import LiveMotion, LivePoints
from unspool.motion.types import Motion

__all__ = ["LiveMotion", "LivePoints", "Motion", "follow"]
