"""The log of a contest: it grows, it keeps two judges apart, and nothing in it can change."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from store.directly import of_a_file, say
from store.recorded import CAR, run_at
from unspool.errors import ChangedMeanwhileError, InputError, StoreError
from unspool.store import Place, Store


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


def test_events_come_back_in_their_order_with_who_and_when(store: Store, place: Place) -> None:
    contest, other = store.contests.make(), store.contests.make()
    assert store.contests.listed() == [contest, other]
    run = store.save_found(store.begin_capture("virtual:").capture, run_at(10), CAR)
    assert store.contests.add(contest, "Ada", "team", {"name": "\x00=Ünspool"}) == 1
    assert store.contests.add(other, "Ben", "team", {"name": "b"}) == 1
    assert store.contests.add(contest, "Ben", "run", {"x": 1.5}, "1/1", run_id=run) == 2
    with Store.open(place) as again:
        first, second = again.contests.events(contest)
    assert (first.number, first.who, first.kind) == (1, "Ada", "team")
    assert (first.data, first.run_id) == ({"name": "\x00=Ünspool"}, None)
    assert (second.subject, second.data, second.run_id) == ("1/1", {"x": 1.5}, run)
    assert store.contests.revision(contest) == 2


def test_the_second_of_two_judges_is_refused_on_one_subject_alone(store: Store) -> None:
    contest = store.contests.make()
    newest = store.contests.add(contest, "Ada", "tape", {}, "1/1", seen=0)
    with pytest.raises(ChangedMeanwhileError):
        store.contests.add(contest, "Ben", "tape", {}, "1/1", seen=0)
    store.contests.add(contest, "Ben", "tape", {}, "1/2", seen=0)
    store.contests.add(contest, "Ben", "tape", {}, "1/1", seen=newest)
    assert [one.who for one in store.contests.events(contest)] == ["Ada", "Ben", "Ben"]


def test_contests_are_listed_as_they_were_made(store: Store) -> None:
    made = [store.contests.make() for _ in range(12)]
    assert store.contests.listed() == made


@pytest.mark.parametrize("name", ["", "7", "-1", "1 ", "9" * 50, "x"])
def test_a_contest_that_is_not_there(store: Store, name: str) -> None:
    with pytest.raises(InputError):
        store.contests.events(name)
    with pytest.raises(InputError):
        store.contests.add(name, "Ada", "team", {})


@of_a_file
def test_the_log_refuses_every_change(store: Store, place: Place) -> None:
    contest = store.contests.make()
    store.contests.add(contest, "Ada", "tape", {"metres": 5.0})
    for change in ("UPDATE contest_events SET data = '{}'", "DELETE FROM contest_events"):
        with pytest.raises(Exception, match="only grows"):
            say(place, change)
    assert store.contests.events(contest)[0].data == {"metres": 5.0}


@of_a_file
def test_a_damaged_event_is_said_not_left_out(store: Store, place: Place) -> None:
    """A result without it could be another one."""
    contest = store.contests.make()
    store.contests.add(contest, "Ada", "tape", {"metres": 5.0})
    say(place, "DROP TRIGGER contest_events_are_kept")
    say(place, "UPDATE contest_events SET data = '[1'")
    with pytest.raises(StoreError):
        store.contests.events(contest)
