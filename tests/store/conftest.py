"""Places for stores: what every store does is tried with a file and with a server."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from database_server import DatabaseServer, running
from unspool.store import Place


@pytest.fixture(scope="session")
def server() -> Iterator[DatabaseServer]:
    with running() as started:
        yield started


@pytest.fixture(params=["file", "server"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """No file yet, or a database that has nothing but the tables."""
    if request.param == "file":
        yield tmp_path / "s"
        return
    with request.getfixturevalue("server").fresh() as made:
        yield made
