"""What is wrong with a sentence that a user reads: an empty place in it, or its English."""

from __future__ import annotations

import re
from collections.abc import Iterable

from prose.rules import Passage, offences
from unspool.finding import Finding
from unspool.render.words.findings import sentence

_UNFORMATTED = re.compile(r"\{[^}]*\}|[{}<>]|\bNone\b|\b(?:nan|inf|True|False|not known)\b|\d{7}")


def faults(text: str) -> list[str]:
    """Reasons why nobody should read this; none if all is well."""
    plain = text.replace("\u00a0", " ")
    found = [f"{match[0]!r} in: {plain}" for match in _UNFORMATTED.finditer(plain)]
    found += [f"{one.reason}: {one.sentence}" for one in offences(Passage(1, plain))]
    if "  " in plain or plain != plain.strip():
        found.append(f"stray spaces: {plain}")
    if not plain.endswith((".", "?", "!")):
        found.append(f"no end: {plain}")
    return found


def all_faults(findings: Iterable[Finding]) -> list[str]:
    return [fault for finding in findings for fault in faults(sentence(finding))]
