"""Captures played back: the bytes in order, at the times that they had."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from capture_file import write_capture_file
from unspool.errors import InputError
from unspool.instrument.link import Link, LinkEndedError, replay, replay_link
from unspool.instrument.link.replay import ReplayLink, read_capture_file


class Clock:
    def __init__(self) -> None:
        self.now = 50.0

    def __call__(self) -> float:
        return self.now

    def sleep(self, seconds: float) -> None:
        self.now += seconds


def until_end(link: Link, timeout_s: float) -> Iterator[bytes]:
    with pytest.raises(LinkEndedError, match="played to its end"):
        yield from (link.read(timeout_s) for _ in iter(int, 1))


RECORDS = [(0.0, b"at once"), (1.5, b"later"), (4.0, b"last")]


def played(speed: float) -> list[tuple[float, bytes]]:
    clock = Clock()
    link = ReplayLink("replay:x", RECORDS, speed, clock, clock.sleep)
    heard = [(clock.now - 50.0, data) for data in until_end(link, 0.25)]
    return [(when, data) for when, data in heard if data]


@pytest.mark.parametrize(
    ("speed", "times"), [(1.0, [0.0, 1.5, 4.0]), (2.0, [0.0, 0.75, 2.0]), (0.0, [0.0, 0.0, 0.0])]
)
def test_keeps_its_times(speed: float, times: list[float]) -> None:
    heard = played(speed)
    assert [data for _, data in heard] == [b"at once", b"later", b"last"]
    assert [when for when, _ in heard] == pytest.approx(times)


def test_a_capture_file_has_times_and_bytes(tmp_path: Path) -> None:
    path = tmp_path / "run.bin"
    path.write_bytes(
        b"unspool capture 1\n"
        b"\x00\x00\x00\x00\x00\x00\x00\x00\x07\x00\x00\x00at once"
        b"\x60\xe3\x16\x00\x00\x00\x00\x00\x05\x00\x00\x00later"
    )
    assert read_capture_file(path) == [(0.0, b"at once"), (pytest.approx(1.5), b"later")]


def test_cut_short_gives_what_is_there(tmp_path: Path) -> None:
    path = tmp_path / "run.bin"
    write_capture_file(path, [(0.0, b"whole"), (1.0, b"cut short")])
    whole = path.read_bytes()
    path.write_bytes(whole[:-3])
    assert read_capture_file(path) == [(0.0, b"whole"), (1.0, b"cut sh")]
    path.write_bytes(whole[:-12])
    assert read_capture_file(path) == [(0.0, b"whole")]


def test_bare_bytes_play_at_once(tmp_path: Path) -> None:
    path = tmp_path / "bare.bin"
    path.write_bytes(b"\x01\x02\x00" * 3000)
    link = replay_link(path)
    assert b"".join(until_end(link, 0.0)) == b"\x01\x02\x00" * 3000


@pytest.mark.parametrize("name", ["missing.bin", ""])
def test_file_that_cannot_be_read(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        replay_link(tmp_path / name)


def test_file_larger_than_any_capture(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(replay, "LARGEST_FILE_BYTES", 2**20)
    with pytest.raises(InputError, match="larger than a capture"):
        replay_link(Path("/dev/zero"))
