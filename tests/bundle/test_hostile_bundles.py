"""A file that is no sound bundle is refused in one sentence, and nothing of it is kept."""

from __future__ import annotations

import contextlib
import io
import json
import warnings
import zipfile
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from unspool.bundle import archive, bundle_bytes, read_bundle
from unspool.errors import InputError
from unspool.imports import import_bundle, import_file
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Carried, Correction, Field, Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

AT = datetime(2025, 11, 27, 14, 3, tzinfo=UTC)
CAR, TRACK = SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")


def good() -> bytes:
    train = PulseTrain(np.arange(3) * 0.01, np.ones(3, np.int8), np.arange(3, dtype=np.int64))
    said = {Field.CAR: CAR, Field.TRACK: TRACK, Field.NOTE: "wet"}
    history = (Correction(AT, "Ada", Field.NOTE, "", "wet"),)
    return bundle_bytes([Carried(train, "a.csv", AT, said=said, history=history)])


GOOD = good()


def files(data: bytes = GOOD) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def zipped(entries: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as opened:
        for name, content in entries.items():
            opened.writestr(name, content)
    return out.getvalue()


def with_manifest(change: Callable[[Any], None]) -> bytes:
    entries = files()
    manifest = json.loads(entries["bundle.json"])
    change(manifest)
    return zipped({**entries, "bundle.json": json.dumps(manifest).encode()})


def refusal(data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        read_bundle(data, "b.zip")
    said = str(caught.value)
    assert said.startswith("b.zip: ")
    assert said.endswith("nothing of it was imported")
    assert "\n" not in said
    assert len(said) < 400
    return said


def test_the_good_one_is_good() -> None:
    assert [run.source for run in read_bundle(zipped(files()), "b.zip")] == ["a.csv"]
    assert len(read_bundle(zipped(files(), zipfile.ZIP_STORED), "b.zip")) == 1


def test_files_and_keys_of_later_versions_are_passed_over() -> None:
    def add(manifest: Any) -> None:
        manifest["place"] = manifest["runs"][0]["weather"] = {"rain": True}

    entries = files(with_manifest(add)) | {"photos/1.jpg": b"\xff\xd8"}
    assert len(read_bundle(zipped(entries), "b.zip")) == 1


@pytest.mark.parametrize("key", ["unspool", "bundle"])
def test_a_newer_version_is_refused(key: str) -> None:
    assert "newer unspool" in refusal(with_manifest(lambda m: m.update({key: 2})))


@pytest.mark.parametrize(
    "name",
    [
        "/etc/passwd",
        "../car.toml",
        "edges/../../x",
        "C:\\x",
        "C:x",
        "edges\\1.csv",
        "\\\\host\\x",
        "..",
    ],
)
def test_a_name_that_leads_elsewhere(name: str) -> None:
    assert "leads out of it" in refusal(zipped({**files(), name: b"x"}))


def test_two_files_of_one_name() -> None:
    out = io.BytesIO(GOOD)
    with (
        warnings.catch_warnings(action="ignore"),
        zipfile.ZipFile(out, "a") as opened,
    ):
        opened.writestr("cars/1.toml", b"name = 1")
    assert 'holds "cars/1.toml" twice' in refusal(out.getvalue())


def test_a_bomb_in_the_edges_is_not_unpacked() -> None:
    data = zipped({**files(), "edges/1.csv": bytes(archive.LARGEST_FILE_BYTES + 1)})
    assert len(data) < 100_000
    assert "more than a bundle can hold" in refusal(data)


def test_many_files_that_together_are_a_bomb(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "MOST_BYTES_IN_ALL", 1_000)  # the manifest and the car have more
    assert "more than a bundle can hold" in refusal(GOOD)


def test_a_size_that_is_a_lie_is_not_believed() -> None:
    entries = files() | {"edges/1.csv": b"time_s\n" + b"0.1\n" * 100_000}
    data = bytearray(zipped(entries))
    told = len(entries["edges/1.csv"]).to_bytes(4, "little")
    assert data.count(told) == 2
    refusal(bytes(data.replace(told, (9).to_bytes(4, "little"))))


def test_more_files_than_a_bundle_can_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "MOST_FILES", 3)
    assert "holds more files" in refusal(GOOD)


def test_a_file_that_is_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive, "LARGEST_BUNDLE_BYTES", 1000)
    assert "larger than a bundle can be" in refusal(GOOD)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_another_way_of_packing(method: int) -> None:
    assert "packed in a way that no bundle is" in refusal(zipped(files(), method))


def test_a_locked_archive() -> None:
    data = bytearray(GOOD)
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(mark) + offset] |= 1
    assert "packed in a way that no bundle is" in refusal(bytes(data))


def test_another_programs_archive() -> None:
    assert "no bundle.json" in refusal(zipped({"bundle.json": b"{}"}))
    assert "lacks the file bundle.json" in refusal(zipped({"letter.txt": b"Dear library"}))


@pytest.mark.parametrize(
    "content", [b"", b"[]", b"null", b"{", b"\xff", b"[" * 100_000, b'{"unspool": ' + b"9" * 5000]
)
def test_a_manifest_that_is_none(content: bytes) -> None:
    assert "no bundle.json of a bundle" in refusal(zipped({**files(), "bundle.json": content}))


RUN = "runs", 0


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("runs",), []),
        (("runs",), [1]),
        ((*RUN, "edges"), "../1.csv"),
        ((*RUN, "edges"), "cars/1.toml"),
        ((*RUN, "edges"), "edges/2.csv"),
        ((*RUN, "car"), "tracks/1.toml"),
        ((*RUN, "track"), "cars/1.toml"),
        ((*RUN, "car"), "edges/1.csv"),
        ((*RUN, "first_edge"), 2**80),
        ((*RUN, "started_at"), "yesterday"),
        ((*RUN, "started_at"), "2025-11-27T14:03:00"),
        ((*RUN, "started_at"), "0001-01-01T00:00:00+00:00"),
        ((*RUN, "started_at"), "9999-12-31T23:59:59+00:00"),
        ((*RUN, "utc_offset_s"), 10**6),
        ((*RUN, "clock"), {"ppm": 1e9, "sd_ppm": 1.0}),
        ((*RUN, "board"), {"tick_hz": 0, "boot": 1}),
        ((*RUN, "board"), {"tick_hz": 1e6, "boot": 2**70}),
        ((*RUN, "winding"), {"turns": "8", "steps": []}),
        ((*RUN, "source"), "x" * 2000),
        ((*RUN, "said", "weight_g"), -1.0),
        ((*RUN, "said", "weight_g"), "700"),
        ((*RUN, "said", "turns"), [{"tier": "nose", "turns": 3.0}]),
        ((*RUN, "said", "taped_m"), 0.0),
        ((*RUN, "said", "note"), "x" * 501),
        ((*RUN, "said", "tags"), ["a,b"]),
        ((*RUN, "said", "discarded"), "yes"),
        ((*RUN, "history", 0, "field"), "colour"),
        ((*RUN, "history", 0, "after"), 5),
        ((*RUN, "history", 0, "who"), "a\nb"),
        ((*RUN, "history", 0, "made_at"), "0001-01-01T00:00:00+00:00"),
        ((*RUN, "history"), [{}] * 2001),
    ],
)
def test_what_no_bundle_says(path: tuple[Any, ...], value: Any) -> None:
    def put(manifest: Any) -> None:
        for key in path[:-1]:
            manifest = manifest[key]
        manifest[path[-1]] = value

    refusal(with_manifest(put))


@pytest.mark.parametrize("text", ["NaN", "1e999", "-Infinity"])
def test_a_number_that_is_none(text: str) -> None:
    entries = files()
    note, more = b'"note": "wet"', f', "weight_g": {text}'.encode()
    manifest = entries["bundle.json"].replace(note, note + more)
    assert manifest != entries["bundle.json"]
    refusal(zipped({**entries, "bundle.json": manifest}))


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("edges/1.csv", b"", "the file is empty"),
        ("edges/1.csv", b"time_s\nx\n", "line 2"),
        ("edges/1.csv", b"time_s\n" + b"1\n" * 30_000, "at most 25000"),
        ("cars/1.toml", b"[[", "is not TOML"),
        ("cars/1.toml", CAR.replace("910", "0.91").encode(), "body.mass_g: found 0.91"),
        ("cars/1.toml", b"#" * 200_000, "holds more of cars and tracks"),
        ("cars/1.toml", b"\xff", "not UTF-8"),
        ("tracks/1.toml", CAR.encode(), "is a car file"),
    ],
)
def test_a_file_in_it_that_has_a_fault(name: str, content: bytes, says: str) -> None:
    assert says in refusal(zipped({**files(), name: content}))


def test_nothing_is_kept_of_a_bundle_whose_last_run_has_a_fault(tmp_path: Path) -> None:
    def add(manifest: Any) -> None:
        manifest["runs"].append(manifest["runs"][0] | {"edges": "edges/7.csv"})

    with Store.open(tmp_path / "s") as store:
        with pytest.raises(InputError, match=r"lacks the file edges/7\.csv"):
            import_bundle(store, with_manifest(add), "b.zip")
        assert (store.runs(), store.cars.listed()) == ([], [])


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_bundle_is_refused_or_its_damage_does_not_matter(data: st.DataObject) -> None:
    """Bytes changed anywhere, or the end cut off: never anything but an InputError."""
    broken = bytearray(GOOD)
    for _ in range(data.draw(st.integers(0, 4))):
        broken[data.draw(st.integers(0, len(GOOD) - 1))] = data.draw(st.integers(0, 255))
    cut = bytes(broken[: data.draw(st.integers(0, len(GOOD)))])
    with contextlib.suppress(InputError):
        (run,) = read_bundle(cut, "b.zip")
        assert run.said[Field.CAR] == CAR


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_refused(data: bytes) -> None:
    refusal(b"PK\x03\x04" + data)


def test_a_sound_checksum_is_asked_for() -> None:
    """A stored file whose bytes changed: only its checksum says so."""
    data = zipped(files(), zipfile.ZIP_STORED)
    changed = data.replace(b'"note": "wet"', b'"note": "dry"')
    assert changed != data
    assert zlib.crc32(changed) != zlib.crc32(data)
    assert "damaged" in refusal(changed)


def test_an_edge_file_without_a_car_says_so(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s") as store, pytest.raises(InputError, match="choose the car"):
        import_file(store, b"time_s\n0.1\n", "a.csv", None, "Ada")
