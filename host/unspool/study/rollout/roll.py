"""From pushes to a roll-out: count, estimate, judge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import isfinite, pi

from unspool.car.vehicle import Car
from unspool.errors import InputError
from unspool.language import _, localised
from unspool.study.rollout.codes import RollOutCode
from unspool.study.rollout.estimate import DISAGREEING, agreement, estimate, odd_one, scattered
from unspool.study.rollout.findings import findings, odd_push
from unspool.study.rollout.judge import Judgement, judge
from unspool.study.rollout.travel import travel
from unspool.study.rollout.types import IntervalEstimate, Push, RolledPush, RollOut, Travel
from unspool.study.rollout.verdict import disagreement, verdict

TAPE_SD_M = 3e-3  # of putting the car to a mark, each time and at each end
SHORTEST_M, LONGEST_M = 0.05, 200.0
LONGEST_SD_M = 0.2
FEWEST_SLOTS = 4
# Pushes that must show the same pattern, of those that show any.
MAJORITY = 2.0 / 3.0

Counted = list[tuple[Push, Travel]]


def roll_out(pushes: Sequence[Push], car: Car, tape_sd_m: float = TAPE_SD_M) -> RollOut:
    """The rolling circumference of the wheel that the encoder of `car` sits on.

    tape_sd_m: standard deviation of putting the car to a mark, at each end of each push. Raises
    InputError when a length or tape_sd_m makes no sense, or a push did not turn the wheel.
    """
    _check(pushes, tape_sd_m)
    counted = [(push, _turned(push, car)) for push in pushes]
    edges, nominal = car.encoder.pulses_per_turn, 2.0 * pi * car.encoder_wheel.radius_m
    pattern = _pattern_edges([one for _, one in counted])
    used, odd = _agreeing(counted, edges, tape_sd_m)
    together, agreed = _together(used, edges, tape_sd_m)
    rolled = _rolled(counted, odd, together, edges, tape_sd_m)
    judged = judge(together, nominal, edges, pattern) if agreed else _DISAGREEING
    return RollOut(
        car=car.name,
        wheel=car.encoder.axle,
        nominal_m=nominal,
        edges_per_turn=edges,
        circumference_m=together,
        fitting_edges=_inverse(together, edges * nominal),
        pattern_edges=pattern,
        proposed_edges=judged.edges,
        proposed_m=_proposed(together, used, car, judged, tape_sd_m),
        verdict=verdict(judged, together, nominal, edges, pattern)
        if agreed
        else disagreement(rolled),
        tape_sd_m=tape_sd_m,
        pushes=tuple(rolled),
        findings=findings(rolled, together, edges),
    )


_DISAGREEING = Judgement(RollOutCode.PUSHES_DISAGREE, None)


def _check(pushes: Sequence[Push], tape_sd_m: float) -> None:
    if not pushes:
        raise InputError(_("there is no push to roll out; give at least one"))
    if not (isfinite(tape_sd_m) and 0.0 <= tape_sd_m <= LONGEST_SD_M):
        raise InputError(
            _(
                "the tape's standard deviation is {sd} mm; expected one from 0 to {most} mm",
                sd=localised(format(1e3 * tape_sd_m, "g")),
                most=localised(format(1e3 * LONGEST_SD_M, "g")),
            )
        )
    for push in pushes:
        if not (isfinite(push.length_m) and SHORTEST_M <= push.length_m <= LONGEST_M):
            raise InputError(
                _(
                    "{push}: the taped length is {length} m; expected metres, from {least} to"
                    " {most}",
                    push=push.name,
                    length=localised(format(push.length_m, "g")),
                    least=localised(format(SHORTEST_M, "g")),
                    most=localised(format(LONGEST_M, "g")),
                )
            )
        if push.length_m < 4.0 * tape_sd_m:
            raise InputError(
                _(
                    "{push}: a length of {length} m is too short for marks that are {off} mm off;"
                    " push over a longer one",
                    push=push.name,
                    length=localised(format(push.length_m, "g")),
                    off=localised(format(1e3 * tape_sd_m, "g")),
                )
            )


def _turned(push: Push, car: Car) -> Travel:
    turned = travel(push.train, car)
    few = abs(turned.crossed)
    if few < FEWEST_SLOTS:
        raise InputError(
            _(
                "{push}: the wheel turned by only {few} edges from start to end, too few for"
                " {length} m; is it the push, recorded from mark to mark?",
                push=push.name,
                few=few,
                length=localised(format(push.length_m, "g")),
            )
        )
    return turned


def _pattern_edges(travels: list[Travel]) -> int | None:
    """The edges after which the slots' pattern repeats, if most pushes agree on it."""
    seen = Counter(one.period for one in travels if one.period is not None and not one.closed)
    if not seen:
        return None
    best, often = seen.most_common(1)[0]
    return best if often >= MAJORITY * seen.total() else None


def _agreeing(counted: Counted, edges: int, tape_sd_m: float) -> tuple[Counted, int | None]:
    odd = odd_one(counted, edges, tape_sd_m)
    return [one for i, one in enumerate(counted) if i != odd], odd


def _together(used: Counted, edges: int, tape_sd_m: float) -> tuple[IntervalEstimate, bool]:
    if agreement(used, edges, tape_sd_m) < DISAGREEING:
        return scattered(used, edges), False
    return estimate(used, edges, tape_sd_m), True


def _rolled(
    counted: Counted, odd: int | None, together: IntervalEstimate, edges: int, tape_sd_m: float
) -> list[RolledPush]:
    rolled = [RolledPush(p, v, estimate([(p, v)], edges, tape_sd_m)) for p, v in counted]
    if odd is not None:
        rolled[odd] = replace(rolled[odd], left_out=odd_push(rolled[odd], together))
    return rolled


def _proposed(
    together: IntervalEstimate, used: Counted, car: Car, judged: Judgement, tape_sd_m: float
) -> IntervalEstimate | None:
    """The circumference with the count that is believed in, from the same pushes."""
    if judged.edges is None or judged.edges == car.encoder.pulses_per_turn:
        return together if judged.edges else None
    other = replace(car, encoder=replace(car.encoder, pulses_per_turn=judged.edges))
    again = [(push, travel(push.train, other)) for push, _ in used]
    return estimate(again, judged.edges, tape_sd_m)


def _inverse(of: IntervalEstimate, factor: float) -> IntervalEstimate:
    # An interval by scatter may reach down to 0.
    high = factor / of.low if of.low > 0.0 else float("inf")
    return IntervalEstimate(factor / of.value, factor / of.high, high)
