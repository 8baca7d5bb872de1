"""A power cut at any moment while recording: what the store acknowledged is in it.

UNSPOOL_POWER_CUTS sets how many moments are tried; a few by default, for the time that they take.
"""

from __future__ import annotations

import os
import random
import sys
from pathlib import Path

import pytest

from store.power_cut import Call, Disk, build_layer, calls, logged, moments
from store.recorded import CAPTURE, OLD_CAPTURES, SAVED_EACH, chunk, run_at
from unspool.errors import StoreError
from unspool.store import Store

CUTS = int(os.environ.get("UNSPOOL_POWER_CUTS", "25"))
# chunks of three sessions; the first and the last end without closing, as if they were killed
SESSIONS = ((1, 250, False), (250, 300, True), (300, 330, False))
RECORD = "from store.recorded import record; record({!r}, {}, {}, closes={}, synchronous={!r})"


@pytest.fixture(scope="module")
def layer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_layer(tmp_path_factory.mktemp("layer"))


@pytest.fixture(scope="module")
def base(layer: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a recording by the store as it is: `disk` and `log`."""
    base = tmp_path_factory.mktemp("recorded")
    recorded(layer, base)
    return base


def recorded(layer: Path, base: Path, synchronous: str = "") -> list[Call]:
    """What the sessions asked of the disk; "": synchronous as the store sets it."""
    folder, log = base / "disk", base / "log"
    folder.mkdir()
    for begin, end, closes in SESSIONS:
        code = RECORD.format(str(folder / "s"), begin, end, closes, synchronous)
        logged(layer, log, folder, [sys.executable, "-c", code])
    return list(calls(log.read_bytes()))


def require_whole(path: Path, said: str) -> None:
    """Opens the store; what was acknowledged is in it, nothing else but what was under way."""
    lines = [line.split() for line in said.splitlines()]
    acknowledged = max((int(line[1]) for line in lines if line[0] == "chunk"), default=0)
    saved = {line[1]: int(line[2]) for line in lines if line[0] == "run"}
    with Store.open(path) as store:
        assert store.check() == []
        kept = [c.data for c in store.chunks(CAPTURE)]
        assert acknowledged <= len(kept) <= acknowledged + 1
        assert kept == [chunk(number) for number in range(1, len(kept) + 1)]
        edges = {row.id: row.edges for row in store.runs()}
        assert all(edges.get(run_id, 0) >= count for run_id, count in saved.items())
        assert len(edges) <= len(saved) + 1
        for run_id, count in edges.items():
            assert store.run(run_id).train.number.tolist() == numbers(int(run_id), count)
        log = store.resume_capture(CAPTURE) if kept else store.begin_capture("virtual:")
        log.append(0.0, b"goes on")


def numbers(run_id: int, edges: int) -> list[int]:
    whole = run_at(SAVED_EACH * 3 * run_id).train.number
    assert edges in (200, 400, len(whole))
    return whole[:edges].tolist()


def lost(asked: list[Call], base: Path, count: int) -> int:
    """Cuts after which the store is damaged or lacks something that it acknowledged."""
    rng, failed = random.Random(20_241), 0
    for i, disk in enumerate(moments(asked, rng, count)):
        disk.cut(base / str(i), rng)
        try:
            require_whole(base / str(i) / "s", disk.said)
        except (AssertionError, StoreError):
            failed += 1
    return failed


def test_the_log_holds_all_that_was_written(base: Path, tmp_path: Path) -> None:
    disk = Disk()
    for call in calls((base / "log").read_bytes()):
        disk.take(call)
    disk.cut(tmp_path / "again", random.Random(1), share=1.0)
    for name in ("s", "s-wal"):
        assert (tmp_path / "again" / name).read_bytes() == (base / "disk" / name).read_bytes()
    assert f"chunk {SESSIONS[-1][1] - 1}\n" in disk.said
    assert len(disk.said) > 1000


def test_the_recording_merges_its_log(base: Path) -> None:
    """While it records, as well as at the end: SQLite does so after 1000 pages."""
    asked = list(calls((base / "log").read_bytes()))
    second = next(i for i, call in enumerate(asked) if call.kind == "o" and call.name == "s")
    created = next(call.descriptor for call in asked if call.name == "s")
    merged = [c for c in asked[:second] if c.kind == "w" and c.descriptor == created]
    assert len(merged) > 300  # some of the 1000 are older states of one page


def test_power_cut_at_random_moments(base: Path, tmp_path: Path) -> None:
    rng = random.Random(20_240)
    asked = list(calls((base / "log").read_bytes()))
    for i, disk in enumerate(moments(asked, rng, CUTS)):
        disk.cut(tmp_path / str(i), rng)
        require_whole(tmp_path / str(i) / "s", disk.said)


def test_power_cut_while_an_older_store_is_brought_up_to_date(layer: Path, tmp_path: Path) -> None:
    folder, log, rng = tmp_path / "disk", tmp_path / "log", random.Random(7)
    folder.mkdir()
    code = f"from store.recorded import upgrade; upgrade({str(folder / 's')!r})"
    logged(layer, log, folder, [sys.executable, "-c", code])
    tried = 0
    for i, disk in enumerate(moments(list(calls(log.read_bytes())), rng, 12 * CUTS)):
        if not disk.said:
            continue
        disk.cut(tmp_path / str(i), rng)
        with Store.open(tmp_path / str(i) / "s") as store:
            assert store.check() == []
            assert [row.id for row in store.captures()] == list(range(1, OLD_CAPTURES + 1))
        tried += 1
    assert tried >= CUTS


@pytest.mark.parametrize("synchronous", ["OFF", "NORMAL"])
def test_a_store_that_syncs_less_loses_what_it_acknowledged(
    layer: Path, tmp_path: Path, synchronous: str
) -> None:
    """The cuts above can fail, and the store's own setting is what it takes."""
    assert lost(recorded(layer, tmp_path, synchronous), tmp_path, 12) > 0
