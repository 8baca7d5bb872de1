"""The codes of what makes groups of runs hard to compare. They are part of the formats."""

from __future__ import annotations

from enum import StrEnum


class ComparisonCode(StrEnum):
    """docs/formats.md says what each one means and which values go with it."""

    MIXED_GROUP = "mixed_group"
    ONE_RUN = "one_run"
    ODD_RUN = "odd_run"
    ONE_GROUP = "one_group"
    MANY_GROUPS = "many_groups"
