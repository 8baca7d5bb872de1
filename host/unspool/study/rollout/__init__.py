"""The rolling circumference of the encoder's wheel, from pushes over a taped length."""

from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.roll import roll_out
from unspool.study.rollout.types import IntervalEstimate, Push, RolledPush, RollOut

__all__ = ["IntervalEstimate", "Push", "RollOut", "RollOutCode", "RolledPush", "roll_out"]
