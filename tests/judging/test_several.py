"""Several cars at once: lines as people paste them, all of them or none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.judging import Organiser
from unspool.judging.several import enter_all, pasted_cars, try_out
from unspool.store import Store

WORDS = st.text("abc äé-", min_size=1, max_size=8).filter(lambda text: text.strip(" "))


@pytest.fixture
def organiser(tmp_path: Path) -> Iterator[Organiser]:
    with Store.open(tmp_path / "s.sqlite") as store:
        yield Organiser.make(store, "Ada", "Cup")


def test_tabs_semicolons_or_commas_part_the_fields() -> None:
    text = "Reed\tSandpiper\t1100\t13\t12,5\n\nSedge;Dunlin;1450,5\n, ;\nRushes, Knot,900\n"
    assert [tuple(car.values()) for car in pasted_cars(text)] == [
        ("Reed", "Sandpiper", "1100", "13", "12,5"),
        ("Sedge", "Dunlin", "1450,5"),
        ("Rushes", "Knot", "900"),
    ]


@given(st.lists(st.tuples(WORDS, WORDS), max_size=5), st.sampled_from("\t;,"))
def test_what_is_pasted_comes_out_in_order(cars: list[tuple[str, str]], sign: str) -> None:
    found = pasted_cars("\n".join(sign.join(car) for car in cars))
    assert [(car["team"], car["car"]) for car in found] == [(t.strip(), c.strip()) for t, c in cars]


@pytest.mark.parametrize(
    "text", ["Reed", "Reed;A;x", "Reed;A\nreed;a", "Sedge;Knot", "a;b;1;2;3;4", "Reed;A;1;2;far"]
)
def test_a_line_at_fault_enters_no_car(organiser: Organiser, text: str) -> None:
    organiser.enter("Sedge", "Knot")
    before = organiser.contest.revision
    with pytest.raises(InputError):
        try_out(organiser.contest, pasted_cars(f"Thrift;Avocet\n{text}"))
    assert organiser.contest.revision == before


def test_good_lines_enter_their_cars(organiser: Organiser) -> None:
    cars = pasted_cars("Reed;A;1100;13;12,5\nReed;B")
    try_out(organiser.contest, cars)
    enter_all(organiser, cars)
    first, second = organiser.contest.competing()
    assert (first.weight_g, first.age, first.forecast) == (1100.0, 13.0, 12.5)
    assert (second.team, second.car, second.weight_g) == (first.team, "B", None)
