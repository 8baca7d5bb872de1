"""A driven wheel that slips by one share as long as the string pulls.

A sensor on a free axle sees the car's way: all of the drive's places come too early by that share.
Turns that were counted wrong by one share on every tier, and a wrong circumference, look the same.
A sensor on the driven axle sees the drum's turns, and every place is right. But as the drive ends,
the wheel falls to its car's speed at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from unspool.finding import Finding, warning
from unspool.model.outcome import EventKind
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.law_parameters import changepoint_m
from unspool.reading.events.match_winding import WindingMatch

Array = NDArray[np.float64]

LEAST_SHARE, SLIP_SDS = 0.012, 3.5  # of the way, that a driven wheel turns further than the car
MOST_SHARE = 0.1  # of a slip that lasts: a tyre that slips more spins
CHANGE_SDS = 2.0  # by which each tier change must show it
ALIKE_SDS, ALIKE_SHARE = 3.5, 0.3  # within which, or within this part of it, all places agree


@dataclass(frozen=True)
class _Ratio:
    """A place over the expected one, and how sure."""

    value: float
    sd: float


def slipping(share: float, over_m: float, turns: float | None) -> Finding:
    """turns: so many too many counted would look the same; None if the driven wheel shows it."""
    values = {"share": float(share), "over_m": float(over_m), "turns": turns}
    return warning(ReadingCode.SLIPPING, **values)


def slipped_all_along(seen: Evidence, match: WindingMatch) -> Finding | None:
    """The way falls short of the drum's turns by one share everywhere."""
    end = match.end_changepoint
    law = match.fit.law
    if seen.car.encoder_wheel.driven or not law.placed or law.begin_m > 0.0 or end is None:
        return None
    changes = [
        _ratio(seen, match, change.changepoint, change.expected_m)
        for change in match.changes
        if change.changepoint is not None
    ]
    if not changes:
        return None
    shares = (_share(seen, [*changes, last]) for last in _ends(seen, match, end))
    share = next((one for one in shares if one is not None), None)
    if share is None:
        return None
    place_m = law.changepoint_m[end]
    return slipping(share, place_m, share * place_m / (1.0 - share) / seen.turn_m)


def one_place_slip(seen: Evidence, match: WindingMatch, share: float) -> float | None:
    """The share, if the drive's end alone shows it and no sensor on the driven axle speaks against.

    One place cannot separate a slip from a string that let go early.
    """
    changes = any(change.changepoint is not None for change in match.changes)
    if changes or seen.car.encoder_wheel.driven or share > MOST_SHARE:
        return None
    return float(share)


def _ratio(seen: Evidence, match: WindingMatch, changepoint: int, expected_m: float) -> _Ratio:
    place = match.fit.values[changepoint_m(changepoint)]
    return _Ratio(place.value / expected_m, hypot(place.sd, seen.launch_sd_m) / expected_m)


def _ends(seen: Evidence, match: WindingMatch, end: int) -> list[_Ratio]:
    """The drive's end as a release, and as a landing if the string is long enough for one."""
    ends = [_ratio(seen, match, end, seen.machine.tiers[-1].end_m)]
    for event in seen.prediction.events:
        if event.kind is EventKind.LANDING:
            landed = _ratio(seen, match, end, event.distance_m)
            ends.append(_Ratio(landed.value, hypot(landed.sd, seen.string_sd_m / seen.car.drop_m)))
    return ends


def _share(seen: Evidence, ratios: list[_Ratio]) -> float | None:
    """The share that all places have in common; the last one is the end's. None if none is."""
    ratio, sd = (np.array(one) for one in ([r.value for r in ratios], [r.sd for r in ratios]))
    weight = 1.0 / np.maximum(sd, 1e-3) ** 2
    share = 1.0 - float(np.average(ratio, weights=weight))
    alike = np.abs(ratio - (1.0 - share)) < np.maximum(ALIKE_SDS * sd, ALIKE_SHARE * share)
    common = 1.0 / float(np.sqrt(weight.sum()))
    least = max(LEAST_SHARE, SLIP_SDS * hypot(common, seen.axles_share))
    # An end that is early by itself, as of a weight that landed, is no slip all along.
    changes_too = bool(np.all(1.0 - ratio[:-1] > CHANGE_SDS * sd[:-1]))
    return share if share > least and bool(np.all(alike)) and changes_too else None
