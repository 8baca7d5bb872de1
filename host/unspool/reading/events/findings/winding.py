"""What the places and pulls of the tiers say of the winding, against what was said of it.

One turn of the drum is one turn of the driven wheel. So the way between two changes is the turns on
the tier between them, whatever the drum's diameter is. How hard the tiers pull, one over the other,
is how large they are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations, pairwise, permutations
from math import hypot, log

import numpy as np

from unspool.finding import Finding, note, warning, warning_if
from unspool.model.outcome import EventKind
from unspool.model.params import TierPath
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.slip import one_place_slip, slipped_all_along
from unspool.reading.events.law_parameters import changepoint_m
from unspool.reading.events.match_winding import WindingMatch, excess_over_coast

# Turns that a careful hand miscounts by; a warning says more than that. And the sds beyond which a
# difference is none of the edges'.
MISCOUNT_TURNS, SURE_SDS = 0.25, 3.5
# A release off by less than this way says nothing: loops and pegs differ by as much.
LEAST_OFF_M, RELEASE_SDS = 0.015, 4.0
LEFT_SHARE = 0.05  # of the stored energy, left in the weight, that is worth a word
# The string that has left may be the whole drop, within so many sds: then the weight has landed.
LANDED_SDS = 2.5
# Tiers whose pulls stand in the wrong order by less than this share, or so few sds, are alike.
ORDER_SHARE, ORDER_SDS = 0.04, 5.0
MOST_TIERS = 6  # whose orders are tried, all of them
DIAMETERS_SD = 0.02  # of one tier's pull over another's: what callipers leave open
TURNS_SD = 0.25


@dataclass(frozen=True)
class Span:
    """Tiers between two places that the edges show; turns as said and as measured."""

    tiers: tuple[TierPath, ...]
    said: float
    measured: float
    sd: float

    @property
    def off(self) -> float:
        return self.measured - self.said

    @property
    def differs(self) -> bool:
        return abs(self.off) > max(MISCOUNT_TURNS, SURE_SDS * self.sd)


def of_winding(seen: Evidence, match: WindingMatch) -> list[Finding]:
    """Turns on the tiers, and the string's end, that are not as said."""
    spans = _spans(seen, match)
    slip = slipped_all_along(seen, match)
    if slip is not None:
        return [slip]
    ended = match.end_changepoint is not None and match.end_kind is EventKind.RELEASE
    inner = spans[:-1] if ended else spans
    found = [_differs(span) for span in inner if span.differs]
    return found + (_string_end(seen, match, spans, bool(found)) if ended and spans else [])


def _spans(seen: Evidence, match: WindingMatch) -> list[Span]:
    fit, tiers = match.fit, [t for t in seen.machine.tiers if t.end_m > match.fit.law.begin_m]
    if not tiers or match.fit.law.begin_m > 0.0:
        return []
    ends = {c.from_tier.name: c.changepoint for c in match.changes}
    ends[tiers[-1].name] = match.end_changepoint
    if match.end_kind is EventKind.LANDING:
        ends[tiers[-1].name] = None
    spans, group, last = [], list[TierPath](), None
    for tier in tiers:
        group.append(tier)
        end = ends.get(tier.name)
        if end is None:
            continue
        way = fit.values[changepoint_m(end)]
        if last is not None:
            way = fit.values.difference(changepoint_m(end), changepoint_m(last))
        sd = hypot(way.sd, seen.launch_sd_m if last is None else 0.0, seen.axles_share * way.value)
        turn = seen.turn_m
        said = (group[-1].end_m - group[0].begin_m) / turn
        spans.append(Span(tuple(group), said, way.value / turn, sd / turn))
        group, last = [], end
    return spans


def _differs(span: Span) -> Finding:
    return warning(
        ReadingCode.WINDING_DIFFERS,
        tiers=tuple(tier.name for tier in span.tiers),
        said_turns=float(span.said),
        measured_turns=float(span.measured),
        sd_turns=float(span.sd),
    )


def _string_end(
    seen: Evidence, match: WindingMatch, spans: list[Span], differs: bool
) -> list[Finding]:
    """A string that let go before or after its place."""
    end, tiers = match.end_changepoint, seen.machine.tiers
    if end is None:
        return []
    place, turn = match.fit.values[changepoint_m(end)], seen.turn_m
    if differs:
        off_m, sd = spans[-1].off * turn, spans[-1].sd * turn
    else:
        off_m = place.value - tiers[-1].end_m
        sd = hypot(place.sd, seen.launch_sd_m, seen.axles_share * place.value)
    if abs(off_m) < max(LEAST_OFF_M, RELEASE_SDS * sd):
        return _short_string(seen, spans, differs)
    at_m, grave = float(place.value), abs(off_m) > MISCOUNT_TURNS * turn
    string_m = float(abs(off_m) * tiers[-1].lever_at(tiers[-1].end_m))
    if off_m > 0.0:
        late = {"late_m": float(off_m), "string_m": string_m, "turns": float(off_m / turn)}
        return [warning_if(grave, ReadingCode.RELEASED_LATE, at_m=at_m, **late)]
    if _may_have_landed(seen, spans, sd):
        return []
    left = seen.energy.left_in_weight or 0.0
    return [
        warning_if(
            grave or left > LEFT_SHARE * seen.energy.stored,
            ReadingCode.EARLY_RELEASE,
            at_m=at_m,
            early_m=float(-off_m),
            string_m=string_m,
            slip_share=one_place_slip(seen, match, -off_m / tiers[-1].end_m),
            left_j=float(left),
            stored_j=float(seen.energy.stored),
            turns_doubted=differs,
        )
    ]


def _short_string(seen: Evidence, spans: list[Span], differs: bool) -> list[Finding]:
    """A string that was wound shorter than the drop, by what was said and by what was measured."""
    left, stored = seen.energy.left_in_weight, seen.energy.stored
    long_enough = _string_out_m(spans) > (1.0 - LEFT_SHARE) * seen.machine.drop_m
    if left is None or left < LEFT_SHARE * stored or long_enough:
        return []
    values = {
        "early_m": None,
        "string_m": None,
        "slip_share": None,
        "left_j": float(left),
        "stored_j": float(stored),
    }
    at_m = float(seen.machine.tiers[-1].end_m)
    return [note(ReadingCode.EARLY_RELEASE, at_m=at_m, **values, turns_doubted=differs)]


def _may_have_landed(seen: Evidence, spans: list[Span], sd: float) -> bool:
    """Whether the string that had left by then may be the whole drop."""
    lever = seen.machine.tiers[-1].lever
    near = LANDED_SDS * hypot(seen.string_sd_m, lever * sd)
    return abs(_string_out_m(spans) - seen.machine.drop_m) < near


def _string_out_m(spans: list[Span]) -> float:
    """The string that had left, with the turns that were measured."""
    wound = [sum(t.paid_at(t.end_m) - t.paid_m for t in span.tiers) for span in spans]
    return sum(
        string * span.measured / span.said for string, span in zip(wound, spans, strict=True)
    )


@dataclass(frozen=True)
class Pull:
    """A part of the drive under one tier: its lever as a logarithm, how sure, and its turns."""

    log_lever: float
    sd: float
    turns: float


def wrong_order(seen: Evidence, match: WindingMatch) -> Finding | None:
    """Tiers that pull in another order than said."""
    tiers = [tier for tier in seen.machine.tiers if tier.end_m > match.fit.law.begin_m]
    if not 1 < len(tiers) <= MOST_TIERS:  # none are left after a late first edge
        return None
    pulls = _as_many(_pulls(seen, match), len(tiers))
    if len(pulls) != len(tiers):
        return None
    said = [Pull(log(t.lever), 0.0, (t.end_m - t.begin_m) / seen.turn_m) for t in tiers]
    if not _contradict(pulls, said):
        return None
    order = min(permutations(range(len(tiers))), key=lambda one: _misfit(pulls, said, one))
    names = [tier.name for tier in tiers]
    found = tuple(names[i] for i in order)
    if found == tuple(names):
        return None
    return warning(ReadingCode.TIERS_IN_WRONG_ORDER, said=tuple(names), found=found)


def _pulls(seen: Evidence, match: WindingMatch) -> list[Pull]:
    """Of the stretches that pull."""
    end, law = match.end_changepoint, match.fit.law
    if end is None or match.forced or not law.placed:
        return []
    places = [law.begin_m, *law.changepoint_m]
    excess, sd = excess_over_coast(match.fit)
    return [
        Pull(
            log(max(seen.masses.lever(law.acceleration[i], law.acceleration[-1]), 1e-9)),
            float(sd[i] / excess[i]),
            (places[i + 1] - places[i]) / seen.turn_m,
        )
        for i in range(end + 1)
        if excess[i] > ORDER_SDS * sd[i]
    ]


def _as_many(pulls: list[Pull], count: int) -> list[Pull]:
    """The pulls with neighbours joined, the most alike first.

    On a larger tier the string is slack for a moment. That may leave a stretch of its own.
    """
    joined = list(pulls)
    while len(joined) > count:
        apart = [abs(two.log_lever - one.log_lever) for one, two in pairwise(joined)]
        i = int(np.argmin(apart))
        one, two = joined[i], joined[i + 1]
        longer = one if one.turns >= two.turns else two
        joined[i : i + 2] = [replace(longer, turns=one.turns + two.turns)]
    return joined


def _contradict(found: list[Pull], said: list[Pull]) -> bool:
    """Whether a tier surely pulls harder than one that should pull harder than it."""
    for i, j in combinations(range(len(said)), 2):
        due = said[i].log_lever - said[j].log_lever
        pull = found[i].log_lever - found[j].log_lever
        sure = max(ORDER_SHARE, ORDER_SDS * hypot(found[i].sd, found[j].sd))
        if abs(due) > ORDER_SHARE and abs(pull) > sure and due * pull < 0.0:
            return True
    return False


def _misfit(found: list[Pull], said: list[Pull], order: tuple[int, ...]) -> float:
    """How badly this order explains pulls and turns; the drive's efficiency is free."""
    off = np.array([one.log_lever - said[i].log_lever for one, i in zip(found, order, strict=True)])
    turns = zip(found[:-1], order[:-1], strict=True)
    counted = sum(log(1.0 + ((one.turns - said[i].turns) / TURNS_SD) ** 2) for one, i in turns)
    return float(np.sum(((off - off.mean()) / DIAMETERS_SD) ** 2)) + counted
