"""A disc that has not as many edges a turn as the car file says."""

from __future__ import annotations

import numpy as np

from unspool.finding import Finding, warning
from unspool.model.outcome import Event, EventKind
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.motion.period import likelier_pulses

FACTORS = (0.5, 2.0)  # by which a disc is miscounted if its rims or its slots are counted
# How near to such a factor all places must be, the end of the drive, and the speed there. A law
# with wrong masses for its speeds finds changes a little off, and changepoints that are none.
NEAR, END_NEAR, SPEED_NEAR = 0.1, 0.03, 0.15
DRIVE_ENDS = (EventKind.RELEASE, EventKind.LANDING)


def doubtful_slots(seen: Evidence) -> list[Finding]:
    claimed = seen.pulses
    likelier = likelier_pulses(seen.motion, claimed)
    if likelier is not None:
        return [_finding(claimed, likelier, None)]
    factor = _common_factor(seen)
    if factor is None:
        return []
    return [_finding(claimed, round(claimed * factor), factor)]


def _finding(claimed: int, likelier: int, factor: float | None) -> Finding:
    """factor: by which all places are off the winding's; None if the slots' pattern shows it."""
    return warning(
        ReadingCode.SLOT_COUNT_DOUBTFUL,
        claimed_edges=int(claimed),
        likelier_edges=int(likelier),
        factor=factor,
    )


def _common_factor(seen: Evidence) -> float | None:
    """The factor by which all changepoints are off their places, if it is one of a miscount.

    A speed goes by the same factor: so a string that let go halfway is not taken for one.
    """
    due = _due(seen)
    if seen.match is None or not seen.match.fit.law.placed or not due:
        return None
    fit = seen.match.fit
    places, speeds = np.array(fit.law.changepoint_m), np.array(fit.trace.changepoint_speed)
    if not len(places):
        return None
    for factor in FACTORS:
        wanted = factor * np.array([event.distance_m for event in due])
        nearest = np.abs(places[:, None] - wanted).argmin(axis=0)
        off = np.abs(places[nearest] / wanted - 1.0)
        speed = speeds[nearest[-1]] / (factor * due[-1].speed_m_s)
        if np.all(off < NEAR) and off[-1] < END_NEAR and abs(speed - 1.0) < SPEED_NEAR:
            return factor
    return None


def _due(seen: Evidence) -> list[Event]:
    """The tier changes and the end of the drive as the prediction has them."""
    drive: list[Event] = []
    for event in seen.prediction.events:
        if event.kind is EventKind.TIER_CHANGE or event.kind in DRIVE_ENDS:
            drive.append(event)
        if event.kind in DRIVE_ENDS:
            return drive
    return []
