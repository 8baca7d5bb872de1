"""The one rule: exit 0 or 2, one line, within bounds of time and memory, and no traceback."""

from __future__ import annotations

import json
import re

from hard.asking import MOST_CPU_S, Done

MOST_MB = 800.0  # some 200 of them are imports
MOST_TEXT = 10_000  # characters of complaint
NAME = "unspool: "
# These say what they do from their start, and may be refused later: by a board, a disk or a store.
TALKING = (("check",), ("record",), ("demo",))
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def broken(done: Done, statuses: tuple[int, ...] = (0, 2)) -> list[str]:
    """What a command did against the rule; empty when it held."""
    faults = [*_use(done), *_streams(done)]
    if done.status not in statuses:
        faults.append(f"exit {done.status}: {done.err.strip()[-300:]}")
    elif done.status == 2:
        faults += _refusal(done)
    elif done.status == 0 and "--json" in done.arguments and "--help" not in done.arguments:
        faults += _answer(done.out)
    return faults


def _use(done: Done) -> list[str]:
    faults = [] if done.in_time else [f"did not end: {done.err[-3000:]}"]
    if done.cpu_s > MOST_CPU_S:
        faults.append(f"{done.cpu_s:.1f} s of processor time")
    if done.peak_mb > MOST_MB:
        faults.append(f"{done.peak_mb:.0f} MB")
    return faults


def _streams(done: Done) -> list[str]:
    faults = []
    if "Traceback (most recent call last)" in done.err + done.out:
        faults.append("a traceback")
    if _CONTROL.search(done.err + done.out):
        faults.append("control characters")
    lines = done.err.splitlines()
    if strange := [line for line in lines if not line.startswith((NAME, "  "))]:
        faults.append(f"a line on standard error: {strange[0][:200]!r}")
    if len(done.err) > MOST_TEXT:
        faults.append(f"{len(done.err)} characters of complaint")
    return faults


def _refusal(done: Done) -> list[str]:
    """One sentence, perhaps with a line for each fault under it, and no answer."""
    first = [line for line in done.err.splitlines() if line.startswith(NAME)]
    if done.arguments[:1] in TALKING:
        return [] if first else ["refused without a word"]
    faults = [] if len(first) == 1 else [f"{len(first)} complaints: {done.err[:300]!r}"]
    if done.out:
        faults.append(f"refused, and answered {done.out[:100]!r}")
    return faults


def _answer(text: str) -> list[str]:
    try:
        json.loads(text, parse_constant=_no_number)
    except ValueError as error:
        return [f"an answer that is no JSON: {error}"]
    return []


def _no_number(name: str) -> None:
    raise ValueError(f"{name} is invented")
