"""What is odd about the pushes of a roll-out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from unspool.finding import Finding, note, warning, warning_if
from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.types import IntervalEstimate, RolledPush, Travel

LEAST_REPEATS = 2  # a closed slot shows in each of so many turns
MANY_LOST = 0.02  # of the edges
WIDE = 0.01  # half an interval: worth more pushes


def odd_push(odd: RolledPush, others: IntervalEstimate) -> Finding:
    """The one push of several that disagrees with all others."""
    return warning(
        RollOutCode.ODD_PUSH,
        run=odd.push.name,
        circumference_m=odd.circumference_m.value,
        others_m=others.value,
    )


def findings(
    pushes: Sequence[RolledPush], together: IntervalEstimate, edges: int
) -> tuple[Finding, ...]:
    """First of the pushes one by one, then of them all."""
    found = [one for push in pushes for one in _of_push(push, edges)]
    half_share = (together.high - together.low) / 2.0 / together.value
    if half_share > WIDE:
        found.append(note(RollOutCode.WIDE, half_share=half_share))
    return tuple(found)


def _of_push(rolled: RolledPush, edges: int) -> Iterator[Finding]:
    travel, name = rolled.travel, rolled.push.name
    if rolled.left_out is not None:
        yield rolled.left_out
    yield from _edges_lost(travel, name, edges)
    yield from _turned_back(travel, name)
    yield from _rested(travel, name)
    if travel.chatter:
        yield note(RollOutCode.CHATTER, run=name, edges=travel.chatter)


def _edges_lost(travel: Travel, name: str, edges: int) -> Iterator[Finding]:
    turns = max(travel.slots / edges, 1.0)
    if travel.closed is not None and travel.lost >= LEAST_REPEATS * (turns // 1):
        yield warning(RollOutCode.SLOT_LOST_EACH_TURN, run=name, closed_edges=travel.closed)
    elif travel.lost:
        yield warning_if(
            travel.unsure > 0 or travel.lost > MANY_LOST * travel.edges,
            RollOutCode.MISSING_EDGES,
            run=name,
            missing=travel.lost,
            uncertain=travel.unsure,
        )


def _turned_back(travel: Travel, name: str) -> Iterator[Finding]:
    if travel.crossed < 0:
        yield note(RollOutCode.BACKWARDS, run=name)
    if travel.before > 1:
        yield note(RollOutCode.ROLLED_TO_MARK, run=name, edges=travel.before, before=True)
    elif travel.after > 1:
        yield note(RollOutCode.ROLLED_TO_MARK, run=name, edges=travel.after, before=False)
    if travel.settled > 1:
        yield note(RollOutCode.SETTLED, run=name, edges=travel.settled)


def _rested(travel: Travel, name: str) -> Iterator[Finding]:
    """The longest rest stands for all."""
    if not travel.pauses:
        return
    pause = max(travel.pauses, key=lambda one: one.seconds)
    yield warning_if(
        not travel.has_direction,
        RollOutCode.RESTED,
        run=name,
        rest_s=pause.seconds,
        edges_before=pause.after,
        edges_after=pause.beyond,
        more_rests=len(travel.pauses) - 1,
        has_direction=travel.has_direction,
    )
