"""The rolling circumference of the encoder's wheel, from pushes over a taped length."""

from unspool.study.rollout.report import rollout_json
from unspool.study.rollout.roll import roll_out
from unspool.study.rollout.types import Estimate, Push, RolledPush, RollOut, Verdict

__all__ = ["Estimate", "Push", "RollOut", "RolledPush", "Verdict", "roll_out", "rollout_json"]
