"""All findings of a run, in its order."""

from __future__ import annotations

from math import inf

from unspool.finding import Finding
from unspool.model.outcome import EventKind
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
            found += of_changes(seen.match)
            found += of_end(seen, seen.match, bool(rounded))
        if seen.tone is not None and not (
            doubtful or rounded
        ):  # the unevenness of slots may sound like one
            found.append(swaying(seen.tone, seen.match.fit.trace))
        if seen.match.fit.law.placed:
            found += open_energy(seen)
    if not seen.motion.stop_seen:
        found.append(cut_short(seen.motion))
    if seen.returned:
        found.append(rolled_back(seen.motion))
    return tuple(found)


def _turns_at(seen: Evidence) -> float:
    returns = any(event.kind is EventKind.ROLLBACK for event in seen.prediction.events)
    return seen.prediction.furthest_m if returns else inf
