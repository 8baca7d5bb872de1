"""The next winding. A car, a goal and limits come in.

A Plan goes out: the winding, what binds it, and what one change would gain.
"""

from unspool.study.plan.goal import Aim, Goal
from unspool.study.plan.limits import Limits
from unspool.study.plan.parts import Owned
from unspool.study.plan.propose import plan
from unspool.study.plan.report import plan_json
from unspool.study.plan.types import Plan

__all__ = ["Aim", "Goal", "Limits", "Owned", "Plan", "plan", "plan_json"]
