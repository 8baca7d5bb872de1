"""The next winding. A car, a goal and limits come in.

A Plan goes out: the winding, what binds it, and what one change would gain.
"""

from unspool.study.plan.codes import PlanCode
from unspool.study.plan.goal import Aim, Counts, Goal
from unspool.study.plan.infeasible import Infeasible, InfeasiblePlanError
from unspool.study.plan.limits import Limits
from unspool.study.plan.make_plan import plan
from unspool.study.plan.parts import Owned
from unspool.study.plan.types import Plan, PlanStage

__all__ = [
    "Aim",
    "Counts",
    "Goal",
    "Infeasible",
    "InfeasiblePlanError",
    "Limits",
    "Owned",
    "Plan",
    "PlanCode",
    "PlanStage",
    "plan",
]
