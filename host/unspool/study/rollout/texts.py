"""A roll-out in builder's words: the verdict, and what to know about the pushes."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.study.rollout.judge import Judgement, repeats_with
from unspool.study.rollout.types import Estimate, Remark, RolledPush, Travel, Verdict

LEAST_REPEATS = 2  # a closed slot shows in each of so many turns
MANY_LOST = 0.02  # of the edges
WIDE = 0.01  # half an interval: worth more pushes


def millimetres(value_m: float) -> str:
    return f"{1e3 * value_m:.1f} mm"


def between(of: Estimate) -> str:
    return f"90 % between {1e3 * of.low:.1f} and {1e3 * of.high:.1f} mm"


def verdict_text(
    judged: Judgement, found: Estimate, nominal_m: float, edges: int, pattern: int | None
) -> str:
    """One or two sentences that say who is right, and what to do."""
    told, ours = millimetres(found.value), millimetres(nominal_m)
    percent = 100.0 * (found.value / nominal_m - 1.0)
    differs = f"{abs(percent):.1f} % {'more' if percent > 0 else 'less'}"
    fits = edges * nominal_m / found.value
    if judged.verdict is Verdict.AGREES:
        return f"tape and encoder agree with the car file: its {ours} lie within the interval"
    if judged.verdict is Verdict.WHEEL_DIFFERS:
        why = (
            "a diameter measured across the tread, or a tyre that has grown"
            if percent > 0
            else "a tyre squashed by the car or worn, or a diameter measured across the tread"
        )
        return f"the wheel rolls {differs} than the car file's {ours}, as wheels do: {why}"
    if judged.verdict is Verdict.MISCOUNTED:
        assert judged.edges is not None
        return (
            f"miscounted disc: {edges} edges a turn make the wheel {told} round and the car file "
            f"says {ours}; {judged.edges} edges a turn fit{_repeating(judged.edges, pattern)}. "
            f"{_why_miscounted(judged.edges, edges)}"
        )
    if judged.verdict is Verdict.UNCLEAR:
        also = f", or {judged.rival} edges a turn" if judged.rival else ""
        return (
            f"{differs} than the car file's {ours} may be the wheel{also}: count the slots of the "
            "disc, or see `unspool check --turns 10`"
        )
    return (
        f"{told} are {differs} than the car file's {ours}, which no wheel and no count nearby "
        f"explains ({fits:.1f} edges a turn would): check --length, in metres from mark to mark, "
        f"and the wheel's diameter{_pattern_says(pattern, edges)}"
    )


def _repeating(count: int, pattern: int | None) -> str:
    if pattern is None:
        return ""
    if repeats_with(count, pattern):
        return f", and the slots' own pattern repeats every {pattern} edges"
    return f", though the slots' own pattern seems to repeat every {pattern} edges"


def _pattern_says(pattern: int | None, edges: int) -> str:
    if pattern is None or repeats_with(edges, pattern):
        return ""
    return f"; the slots' own pattern seems to repeat every {pattern} edges"


def _why_miscounted(fitting: int, edges: int) -> str:
    if fitting == 2 * edges:
        return "A slot has two edges, its begin and its end: pulses_per_turn counts both"
    if 2 * fitting == edges:
        return "Count the slots again: pulses_per_turn is twice their number"
    if fitting < edges:
        return "Count the slots again; or one is closed or dirty and missed in each turn"
    return "Count the slots again; or the disc has a crack or scratch that is seen as a slot"


def disagreement_text(pushes: list[RolledPush]) -> str:
    """Of pushes that differ by more than they can, with no telling which one is wrong."""
    low = min(push.circumference_m.value for push in pushes)
    high = max(push.circumference_m.value for push in pushes)
    return (
        f"the pushes disagree by more than their uncertainty, from {millimetres(low)} to "
        f"{millimetres(high)}: a wheel that slid or edges that were missed make the circumference "
        "too large, chatter, a bent path or a mark not reached too small. Push again, gently"
    )


def odd_text(odd: RolledPush, others: Estimate) -> str:
    """Why one push of several is not used."""
    large = odd.circumference_m.value > others.value
    why = (
        "the wheel slid on the floor, or edges were missed"
        if large
        else "chatter, a bent path, or the end mark was not reached"
    )
    return (
        f"its {millimetres(odd.circumference_m.value)} do not agree with the others' "
        f"{millimetres(others.value)}: {why}"
    )


def remarks(pushes: list[RolledPush], together: Estimate, edges: int) -> tuple[Remark, ...]:
    """What to know about the pushes one by one, then about them all."""
    told = [one for push in pushes for one in _of_push(push, edges)]
    if (together.high - together.low) / 2.0 > WIDE * together.value:
        told.append(
            Remark(
                "wide",
                "note",
                "the interval is wider than 1 % either way: push farther, or more often",
            )
        )
    return tuple(told)


def _of_push(rolled: RolledPush, edges: int) -> Iterator[Remark]:
    travel, name = rolled.travel, rolled.push.name
    if rolled.left_out:
        yield Remark("odd_push", "warning", f"{name} is left out: {rolled.left_out}")
    yield from _edges_lost(travel, name, edges)
    yield from _turned_back(travel, name)
    yield from _rested(travel, name)
    if travel.chatter:
        yield Remark("chatter", "note", f"{name}: {number_of(travel.chatter)} of chatter left out")


def _edges_lost(travel: Travel, name: str, edges: int) -> Iterator[Remark]:
    turns = max(travel.slots / edges, 1.0)
    if travel.closed is not None and travel.lost >= LEAST_REPEATS * (turns // 1):
        yield Remark(
            "slot_lost_each_turn",
            "warning",
            f"{name}: in every turn, once in {travel.closed} edges, a gap is as long as three: a "
            "slot is closed or dirty. They are counted as if it were open; clean it",
        )
    elif travel.lost:
        many = travel.lost > MANY_LOST * travel.edges
        sure = ", not all of them with certainty" if travel.unsure else ""
        yield Remark(
            "missing_edges",
            "warning" if travel.unsure or many else "note",
            f"{name}: {number_of(travel.lost)} missing and bridged{sure}: the sensor missed "
            "them, or the wheel slid",
        )


def _turned_back(travel: Travel, name: str) -> Iterator[Remark]:
    if travel.crossed < 0:
        yield Remark(
            "backwards",
            "note",
            f"{name}: the wheel turned backwards. Pushed forwards, the sensors are swapped: "
            "see `unspool check`",
        )
    if travel.before > 1 or travel.after > 1:
        place = "before" if travel.before > 1 else "after"
        number = travel.before if travel.before > 1 else travel.after
        yield Remark(
            "rolled_to_mark",
            "note",
            f"{name}: {number_of(number)} against the push, {place} it are taken for "
            "rolling the car to its place and not counted",
        )
    if travel.settled > 1:
        yield Remark(
            "settled",
            "note",
            f"{name}: rolled back by {number_of(travel.settled)} at the end, to the mark; counted",
        )


def _rested(travel: Travel, name: str) -> Iterator[Remark]:
    """The longest rest stands for all."""
    if not travel.pauses:
        return
    pause, others = max(travel.pauses, key=lambda one: one.seconds), len(travel.pauses) - 1
    more = f" and {others} times more for less" if others else ""
    rest = f"{name}: the wheel rested {pause.seconds:.1f} s after {number_of(pause.after)}{more}, "
    if travel.told_direction:
        text = f"then turned on by {pause.beyond}; all is counted. If the car was still being "
        yield Remark("rested", "note", rest + text + "placed, push again")
        return
    yield Remark(
        "rested",
        "warning",
        rest + f"then came {pause.beyond} more. Without directions (no edge here is backward) "
        "there is no telling a roll back from one on; all are counted as on. Push again "
        "without a rest if it rolled back",
    )


def number_of(count: int) -> str:
    return f"{count} edge{'s' * (count != 1)}"
