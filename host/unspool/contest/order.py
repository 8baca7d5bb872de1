"""The order of attempts: drawn by lot in a way that anybody can check, or set by hand."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256

from unspool.contest.state import Contest


def drawn(entries: Sequence[int], seed: str) -> tuple[int, ...]:
    """The entries by the SHA-256 of "seed:number", the least first.

    Anyone who knows the seed can draw again with any program, and gets the same order.
    """
    return tuple(sorted(entries, key=lambda one: sha256(f"{seed}:{one}".encode()).hexdigest()))


def order_of(contest: Contest) -> tuple[tuple[int, int], ...]:
    """All attempts in their order, as entry and number: each entry's first, then each second.

    Those of run-offs follow.
    """
    entries = [entry.number for entry in contest.competing()]
    found: list[tuple[int, int]] = []
    for number in range(1, contest.rules.attempts + 1):
        turned = contest.rules.order == "reversed" and number % 2 == 0
        found += [(entry, number) for entry in (reversed(entries) if turned else entries)]
    found += [
        (one, number) for number, those in contest.run_offs for one in entries if one in those
    ]
    return tuple(dict.fromkeys(found))


def next_attempt(contest: Contest) -> tuple[int, int] | None:
    """The first in order that was not called; None if all were."""
    for entry, number in order_of(contest):
        if not contest.attempt(entry, number).called:
            return entry, number
    return None
