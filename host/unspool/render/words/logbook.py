"""Short words of the Logbook: what stands out in an attempt, and what its distance is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from unspool.ends import Ends
from unspool.finding import Severity, in_words
from unspool.language import _, later
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.units import quantity

# What a reading found, in two or three words. The page of the attempt has the sentence.
STANDS_OUT = {
    ReadingCode.DID_NOT_START: later("did not start"),
    ReadingCode.LAUNCH_NOT_SEEN: later("launch not seen"),
    ReadingCode.SLIP_AT_START: later("slipped at the start"),
    ReadingCode.HANDLED: later("moved by hand"),
    ReadingCode.MISSING_EDGES: later("edges lost"),
    ReadingCode.CHATTER: later("sensor chatter"),
    ReadingCode.COARSE_TIMES: later("coarse times"),
    ReadingCode.SLOT_COUNT_DOUBTFUL: later("slot count doubtful"),
    ReadingCode.DIRECTION_NOT_KNOWN: later("direction not known"),
    ReadingCode.TIER_CHANGE_NOT_SEEN: later("tier change not seen"),
    ReadingCode.WEIGHT_LANDED_FIRST: later("weight landed first"),
    ReadingCode.EARLY_RELEASE: later("string let go early"),
    ReadingCode.RELEASED_LATE: later("string let go late"),
    ReadingCode.WINDING_DIFFERS: later("wound otherwise"),
    ReadingCode.TIERS_IN_WRONG_ORDER: later("tiers in wrong order"),
    ReadingCode.SLIPPING: later("slipped"),
    ReadingCode.STRING_HELD: later("string held"),
    ReadingCode.SWAYING: later("weight swayed"),
    ReadingCode.ENERGY_UNEXPLAINED: later("energy unexplained"),
    ReadingCode.CUT_SHORT: later("cut short"),
    ReadingCode.EDGES_LOST_BEFORE: later("edges lost before"),
    ReadingCode.ROLLBACK: later("rolled back"),
}


def found_words(code: str) -> str:
    """In a few words what a reading found, as code."""
    known = {str(one): said for one, said in STANDS_OUT.items()}
    return _(known[code]) if code in known else in_words(code)


# As notes these are of the sensor rather than of the attempt, and stand in many of them.
_BY_THE_WAY = frozenset(
    {
        *(ReadingCode.MISSING_EDGES, ReadingCode.CHATTER, ReadingCode.COARSE_TIMES),
        ReadingCode.DIRECTION_NOT_KNOWN,
    }
)
_DISTANCE = {
    Ends.CUT_OFF: later("cut off at {place}"),
    Ends.FIRST_LOST: later("after its first edge {place}"),
}


@dataclass(frozen=True)
class Standing:
    """One thing that stands out; grave for a warning."""

    code: str
    words: str
    grave: bool


def stands_out(findings: Iterable[tuple[str, str]]) -> list[Standing]:
    """Of codes with their severities, in the same order."""
    return [
        Standing(code, _(STANDS_OUT[ReadingCode(code)]), severity == Severity.WARNING)
        for code, severity in findings
        if code in STANDS_OUT and (severity == Severity.WARNING or code not in _BY_THE_WAY)
    ]


def line_distance(distance_m: float | None, ends: Ends) -> str:
    """ "12.61 m", or "cut off at 7.20 m"; "" if there is none."""
    if distance_m is None:
        return ""
    return _(_DISTANCE.get(ends, "{place}"), place=quantity(distance_m, "m"))


def line_winding(turns: Iterable[tuple[str, float]]) -> str:
    """ "start 3.50, run 5.30": turns on each tier that was wound."""
    return ", ".join(f"{tier}\u00a0{quantity(n, '')}" for tier, n in turns if n > 0.0)
