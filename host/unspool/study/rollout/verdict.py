"""The verdict of a roll-out as a finding: who is right, the tape or the car file."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.finding import Finding, warning, warning_if
from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.judge import Judgement, repeats_with
from unspool.study.rollout.types import IntervalEstimate, RolledPush

_NOTES = (RollOutCode.AGREES, RollOutCode.WHEEL_DIFFERS)


def verdict(
    judged: Judgement, found: IntervalEstimate, nominal_m: float, edges: int, pattern: int | None
) -> Finding:
    """Of pushes that agree. `pattern` are the edges after which the slots' pattern repeats."""
    believed = judged.edges or edges
    return warning_if(
        judged.code not in _NOTES,
        judged.code,
        circumference_m=found.value,
        nominal_m=nominal_m,
        edges=edges,
        fitting_edges=edges * nominal_m / found.value,
        believed_edges=judged.edges,
        rival_edges=judged.rival,
        pattern_edges=pattern,
        pattern_agrees=None if pattern is None else repeats_with(believed, pattern),
    )


def disagreement(pushes: Sequence[RolledPush]) -> Finding:
    """Of pushes that differ by more than they can, if nothing shows which one is wrong."""
    each = [push.circumference_m.value for push in pushes]
    return warning(RollOutCode.PUSHES_DISAGREE, smallest_m=min(each), largest_m=max(each))
