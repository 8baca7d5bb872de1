"""Which winding next, and why."""

from unspool.plan.goal import Aim, Goal
from unspool.plan.limits import Limits
from unspool.plan.parts import Owned
from unspool.plan.propose import plan
from unspool.plan.report import plan_json
from unspool.plan.types import Plan

__all__ = ["Aim", "Goal", "Limits", "Owned", "Plan", "plan", "plan_json"]
