"""The rolling circumference. Pushes over a taped length come in.

A RollOut goes out, with the lines for the car file.
"""

from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.roll import roll_out
from unspool.study.rollout.types import IntervalEstimate, Push, RolledPush, RollOut

__all__ = ["IntervalEstimate", "Push", "RollOut", "RollOutCode", "RolledPush", "roll_out"]
