"""A board is remembered with its car, whatever port it comes to."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from store.directly import of_a_file, say
from unspool.store import BoardCar, BoardKey, Place, Store

SANDPIPER = BoardCar("Sandpiper", "Corridor")


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def test_the_newest_car_of_a_board_is_remembered(store: Store, place: Place) -> None:
    assert store.board_cars() == {}
    store.remember_car(7, BoardCar("Dunlin"))
    store.remember_car(0xFFFFFFFF, BoardCar("Dunlin"))
    store.remember_car(7, SANDPIPER)
    with Store.open(place) as again:
        assert again.board_cars() == {7: SANDPIPER, 0xFFFFFFFF: BoardCar("Dunlin", "")}


@of_a_file
def test_a_damaged_row_is_left_out(store: Store, place: Place) -> None:
    store.remember_car(7, SANDPIPER)
    store.remember_car(8, SANDPIPER)
    say(place, "UPDATE board_cars SET car = x'ff' WHERE board = 8")
    assert store.board_cars() == {7: SANDPIPER}


def test_a_link_names_the_board_that_was_there_last(store: Store) -> None:
    assert store.boards_by_link() == {}
    store.begin_capture("serial:A", key=BoardKey(7, 1))
    store.begin_capture("serial:A", key=BoardKey(8, 1))
    store.begin_capture("ble:B", key=BoardKey(7, 1))
    store.begin_capture("ble:B")
    assert store.boards_by_link() == {"serial:A": 8, "ble:B": 7}
