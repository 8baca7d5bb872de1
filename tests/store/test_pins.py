"""Kept PINs: one a name, whatever its case, and only its hash."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.directly import of_a_file, say
from unspool.store import Hashed, Place, Store
from unspool.store.copying import copy

PIN = Hashed(b"salt", b"\x00" * 32, 16, 8, 1)
HOSTILE = "'); DROP TABLE pins; --<img src=x onerror=alert(1)>"


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def test_a_name_has_one_pin_however_it_is_written(store: Store, place: Place) -> None:
    assert store.pins.add("Ána  Bee", "judge", PIN, "Ada")
    assert store.pins.add(HOSTILE, "station", PIN, "Ada")
    assert not store.pins.add("ÁNA Bee", "own", PIN, "Ben")
    with Store.open(place) as again:
        hostile, ana = again.pins.listed()
    assert (ana.name, ana.role, ana.pin, ana.who) == ("Ána  Bee", "judge", PIN, "Ada")
    assert hostile.name == HOSTILE
    assert store.pins.remove("ána bee")
    assert not store.pins.remove("ána bee")
    assert [one.name for one in store.pins.listed()] == [HOSTILE]


@of_a_file
def test_a_damaged_one_is_left_out(store: Store, place: Place) -> None:
    for name in ("Ana", "Ben"):
        store.pins.add(name, "judge", PIN, "Ada")
    say(place, "UPDATE pins SET salt = 'x' WHERE name = 'Ana'")
    assert [one.name for one in store.pins.listed()] == ["Ben"]


@of_a_file
def test_a_copy_leaves_them_out(store: Store, tmp_path: Path) -> None:
    store.pins.add("Ana", "judge", PIN, "Ada")
    with Store.open(tmp_path / "other") as other:
        copy(store, other)
        assert other.pins.listed() == []
