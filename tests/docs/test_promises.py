"""Each written promise names tests that are there, and each written limit is the code's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from unspool.bundle.archive import LARGEST_BUNDLE_BYTES, MOST_BYTES_IN_ALL
from unspool.bundle.manifest import MOST_RUNS, MOST_SHEETS
from unspool.car.schema import MOST_LEVELS, CarFile
from unspool.car.toml_source import LARGEST_FILE_BYTES
from unspool.instrument.link import replay
from unspool.instrument.wire.log_reader import FARTHEST
from unspool.reading.edges import edge_file
from unspool.said_faults import LONGEST_NOTE, LONGEST_TAG, MOST_TAGS

ROOT = Path(__file__).parents[2]
PAGES = ("docs/protocol.md", "docs/formats.md")
MIB = 2**20


def section(page: str) -> str:
    text = (ROOT / page).read_text(encoding="utf-8")
    return text.split("\n## What is promised\n")[1].split("\n## ")[0]


def promises(page: str) -> list[str]:
    listed = section(page).split("\n\n|")[0]
    return re.split(r"^- ", listed, flags=re.MULTILINE)[1:]


@pytest.mark.parametrize("page", PAGES)
def test_each_promise_names_tests_that_are_there(page: str) -> None:
    assert len(promises(page)) >= 6
    for promise in promises(page):
        named = re.findall(r"`(tests/[^`]+)`", promise)
        assert named, promise
        for test in named:
            assert Path(test).name.startswith("test_"), test
            assert (ROOT / test).is_file(), test


def most(key: str) -> int:
    """Of tables of this key in a car file."""
    limits = CarFile.model_json_schema()["properties"][key]
    return int(limits["maxItems"])


def test_limits_are_those_of_the_code() -> None:
    rows = dict(re.findall(r"^\| ([^|]+) \| ([^|]+) \|$", section(PAGES[1]), re.MULTILINE))
    name = CarFile.model_json_schema()["properties"]["name"]["maxLength"]
    assert rows == {
        "input": "limit",
        "edge file": f"{edge_file.MAX_EDGES:,} edges, {edge_file.MAX_BYTES // MIB} MiB",
        "a gap in an edge file": f"{edge_file.MAX_GAP:,} edges",
        "a time in an edge file": f"{edge_file.MAX_TIME_S:,.0f} s from 0",
        "car or track file": f"{LARGEST_FILE_BYTES:,} bytes",
        "car file": f"{most('wheels')} sets of wheels, {most('drum')} tiers",
        "track file": f"{MOST_LEVELS} levels",
        "a name in a car or track file": f"{name} characters",
        "capture file": f"{replay.LARGEST_FILE_BYTES // MIB} MiB",
        "bundle": f"{LARGEST_BUNDLE_BYTES // MIB} MiB, {MOST_BYTES_IN_ALL // MIB} MiB unpacked,"
        f" {MOST_RUNS:,} runs, {MOST_SHEETS} cars and tracks",
        "note of a run": f"{LONGEST_NOTE} characters",
        "tags of a run": f"{MOST_TAGS}, of {LONGEST_TAG} characters",
    }
    assert f"at most {edge_file.MAX_FAULTS} faults" in section(PAGES[1]).lower()
    assert f"{FARTHEST:,}" in section(PAGES[0])
