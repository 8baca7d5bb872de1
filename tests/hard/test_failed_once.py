"""Cases that failed once, again."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from hard.files import edge_case


@pytest.mark.filterwarnings("error")
def test_run_that_no_edge_of_agrees_with_its_fit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """100 random times: the fit called all edges outliers, and nothing was left to divide by."""
    monkeypatch.chdir(tmp_path)
    assert edge_case(random.Random("2 edges 178"), tmp_path).faults == []
