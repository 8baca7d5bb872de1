"""What an import added, in words."""

from __future__ import annotations

from collections.abc import Sequence


def imported_words(kept: Sequence[tuple[str, bool]]) -> str:
    """kept: the runs by their ids, and whether the store had them already."""
    added = [run for run, was_there in kept if not was_there]
    there = len(kept) - len(added)
    if not added:
        every = "this attempt" if len(kept) == 1 else f"all {len(kept)} attempts"
        return f"The store has {every} already; nothing was added."
    count = "one attempt" if len(added) == 1 else f"{len(added)} attempts"
    known = f" Of {len(kept)} the store had {there} already." * bool(there)
    return f"Added {count}.{known}"
