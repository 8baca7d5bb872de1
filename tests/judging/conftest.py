"""A contest with two judges."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from unspool.judging import Judge, Organiser
from unspool.store import Store

RULES = """
[[penalties]]
name = "touched"
metres = 0.5
"""


@pytest.fixture
def organiser(tmp_path: Path) -> Iterator[Organiser]:
    with Store.open(tmp_path / "s.sqlite") as store:
        yield Organiser.make(store, "Ada", "Corridor cup (invented)", RULES)


@pytest.fixture
def ada(organiser: Organiser) -> Judge:
    return Judge(organiser.store, organiser.id, "Ada")


@pytest.fixture
def ben(organiser: Organiser) -> Judge:
    return Judge(organiser.store, organiser.id, "Ben")
