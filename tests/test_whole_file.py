"""A file that is written is the old one or the new one, whenever the power fails."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

from store.power_cut import build_layer, calls, logged, moments
from unspool.errors import InputError
from unspool.whole_file import write_whole

OLD = "old\n" * 3000
LAST = 12
WRITES = """
import os, sys
from pathlib import Path
from test_whole_file import LAST, OLD, content
from unspool.whole_file import write_whole
path = Path(sys.argv[1])
with path.open("w") as file:
    file.write(OLD)
    file.flush()
    os.fsync(file.fileno())
folder = os.open(path.parent, os.O_RDONLY)
os.fsync(folder)
print("old", flush=True)
for number in range(LAST):
    write_whole(path, content(number))
    write_whole(path.with_name(f"first{number}"), content(number))
"""


def content(number: int) -> str:
    return f"{number}\n" * random.Random(number).randint(1, 20_000)


def test_a_power_cut_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    folder, log = tmp_path / "disk", tmp_path / "log"
    folder.mkdir()
    command = [sys.executable, "-c", WRITES, str(folder / "run.csv")]
    logged(build_layer(tmp_path), log, folder, command)
    rng, seen = random.Random(5), set()
    for i, disk in enumerate(moments(list(calls(log.read_bytes())), rng, 60)):
        if not disk.said:
            continue
        cut = tmp_path / str(i)
        disk.cut(cut, rng)
        there = (cut / "run.csv").read_text()
        assert there in (OLD, *map(content, range(LAST)))
        seen.add(there)
        for first in cut.glob("first*"):
            assert first.read_text() == content(int(first.name.removeprefix("first")))
    assert OLD in seen
    assert len(seen) > 3


def test_a_file_that_cannot_be_replaced_stays(tmp_path: Path, monkeypatch) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "run.csv").write_text(OLD)
    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InputError, match="No space left"):
        write_whole(tmp_path / "run.csv", "new")
    assert [path.name for path in tmp_path.iterdir()] == ["run.csv"]
    assert (tmp_path / "run.csv").read_text() == OLD
