"""The rolling circumference of the encoder's wheel, from pushes over a taped length."""

from unspool.rollout.report import rollout_json
from unspool.rollout.roll import roll_out
from unspool.rollout.types import Estimate, Push, RolledPush, RollOut, Verdict

__all__ = ["Estimate", "Push", "RollOut", "RolledPush", "Verdict", "roll_out", "rollout_json"]
