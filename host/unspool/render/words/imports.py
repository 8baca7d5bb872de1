"""What an import added, in words."""

from __future__ import annotations

from collections.abc import Sequence

from unspool.language import _, many


def imported_words(kept: Sequence[tuple[str, bool]]) -> str:
    """kept: the runs by their ids, and whether the store had them already."""
    added = [run for run, was_there in kept if not was_there]
    there = len(kept) - len(added)
    if not added:
        return many(
            "The store has this attempt already; nothing was added.",
            "The store has all {count} attempts already; nothing was added.",
            len(kept),
        )
    said = many("Added one attempt.", "Added {count} attempts.", len(added))
    if not there:
        return said
    known = _("Of {all} the store had {there} already.", all=len(kept), there=there)
    return f"{said} {known}"
