"""All findings of a run, in its order."""

from __future__ import annotations

from math import inf

from unspool.finding import Finding
from unspool.model.outcome import EventKind
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.findings.drive import of_changes, of_end
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.oscillation import swaying
from unspool.reading.events.findings.sensors import (
    coarse_times,
    cut_short,
    direction_unknown,
    of_sensors,
)
from unspool.reading.events.findings.slots import doubtful_slots
from unspool.reading.events.findings.start import of_start
from unspool.reading.events.findings.whole_run import open_energy, rolled_back
from unspool.reading.events.findings.winding import of_winding, wrong_order
from unspool.reading.events.match_winding import WindingMatch

OTHER_WINDING = (
    ReadingCode.WINDING_DIFFERS,
    ReadingCode.RELEASED_LATE,
    ReadingCode.TIERS_IN_WRONG_ORDER,
)


def findings(seen: Evidence) -> tuple[Finding, ...]:
    """All findings of a run that started, in the order of the run."""
    rounded = coarse_times(seen.motion, seen.pitch_m)
    # What beats with the tick looks like a pattern, and like a tone.
    doubtful = [] if rounded else doubtful_slots(seen)
    found = [*of_sensors(seen.motion), *rounded, *doubtful]
    found += direction_unknown(seen.motion, _turns_at(seen), seen.sensors)
    if seen.match is not None:
        found += of_start(seen.match, seen.motion, seen.launch_hidden)
        if seen.match.fit.law.placed:
            found += _of_drive(seen, seen.match, bool(rounded), bool(doubtful))
        # The unevenness of slots may sound like a tone.
        if seen.tone is not None and not (doubtful or rounded):
            found.append(swaying(seen.tone, seen.match.fit.trace))
        if seen.match.fit.law.placed and not doubtful and not _other_winding(found):
            found += open_energy(seen)
    if not seen.motion.stop_seen:
        found.append(cut_short(seen.motion))
    if seen.returned:
        found.append(rolled_back(seen.motion))
    return tuple(found)


def _other_winding(found: list[Finding]) -> bool:
    """Whether other turns drove the car than said: no energy that is counted by those adds up."""
    return any(one.code in OTHER_WINDING for one in found)


def _of_drive(seen: Evidence, match: WindingMatch, rounded: bool, doubtful: bool) -> list[Finding]:
    """What the string did. One cause is named once: a wrong order makes all places wrong."""
    few = any(change.edges is not None for change in match.changes)
    vague = rounded or doubtful or few
    order = None if vague else wrong_order(seen, match)
    # A law that takes a sway for changepoints places its own a little off.
    counts = not vague and not match.forced and not seen.motion.uncertain and seen.tone is None
    found = [order] if order is not None else of_changes(match)
    if order is None and counts:
        found += of_winding(seen, match)
    doubted = doubtful or _other_winding(found)
    return [*found, *of_end(seen, match, rounded, doubted)]


def _turns_at(seen: Evidence) -> float:
    returns = any(event.kind is EventKind.ROLLBACK for event in seen.prediction.events)
    return seen.prediction.furthest_m if returns else inf
