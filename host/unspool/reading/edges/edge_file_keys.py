"""Keys of an edge file: comments above the header that say of the run what no row can say.

    # unspool = 1
    # lost_before = 12          edges of the run that are known to be lost before the first row
    # ending = stood_still      why the edges end, if that was seen: an Ending

They count only below the first of these lines, so that no other comment is taken for a key.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from unspool.errors import Fault
from unspool.language import _
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain

VERSION = "# unspool = 1"
MOST_LOST = 2**31 - 1
_KEY = re.compile(r"#\s*(lost_before|ending)\s*=\s*(.*?)\s*")
_VERSION = re.compile(r"#\s*unspool\s*=\s*1\s*")
_ENDINGS = tuple(str(ending) for ending in Ending)


def key_lines(train: PulseTrain) -> list[str]:
    """The lines to write above the header."""
    lost = [f"# lost_before = {train.lost_before}"] if train.lost_before else []
    ending = [f"# ending = {train.ending}"] if train.ending is not Ending.UNKNOWN else []
    return [VERSION, *lost, *ending]


def with_keys(train: PulseTrain, above: Sequence[str], faults: list[Fault]) -> PulseTrain:
    """The train with what the lines above its header say. Adds a fault for each wrong key."""
    ours = next((i for i, line in enumerate(above) if _VERSION.fullmatch(line)), len(above))
    for i, line in enumerate(above[ours:], ours + 1):
        if match := _KEY.fullmatch(line):
            train = _with_key(train, match[1], match[2], f"line {i}", faults)
    return train


def _with_key(
    train: PulseTrain, key: str, value: str, where: str, faults: list[Fault]
) -> PulseTrain:
    if key == "ending" and value in _ENDINGS:
        return replace(train, ending=Ending(value))
    if key == "lost_before" and re.fullmatch(r"\d{1,10}", value, re.ASCII):
        lost = int(value)
        if lost <= MOST_LOST:
            return replace(train, lost_before=lost)
    expected = _("a count of lost edges, at most {most}", most=MOST_LOST)
    if key == "ending":
        expected = _("one of {names}", names=", ".join(_ENDINGS))
    faults.append(Fault(where, f"{key} = {value[:40]!r}", expected))
    return train
