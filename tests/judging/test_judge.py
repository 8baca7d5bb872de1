"""What organisers and judges say: two judges on one attempt, refusals, undo, hostile names."""

from __future__ import annotations

from contextlib import suppress
from threading import Barrier, Thread

import pytest

from unspool.contest import Contest, ContestCode, Kind, board, drawn, findings
from unspool.errors import ChangedMeanwhileError, InputError, StoreError
from unspool.judging import Judge, Organiser, attach_late, attach_run, events_in
from unspool.language import in_language


def best(contest: Contest) -> list[tuple[str, float | None]]:
    return [(row.team, row.score) for row in board(contest)[0].rows]


def test_a_second_judge_is_asked_and_nothing_is_lost(
    organiser: Organiser, ada: Judge, ben: Judge
) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    ada.call(entry, 1)
    seen = ada.contest.entries[entry].attempts[1].revision
    ada.tape(entry, 1, "12,61", seen)
    with (
        in_language("de"),
        pytest.raises(ChangedMeanwhileError, match=r"12,61 m gemessen.*12,58"),
    ):
        ben.tape(entry, 1, "12.58", seen)
    attempt = ben.contest.entries[entry].attempts[1]
    assert (attempt.tape_m, attempt.doubted) == (12.61, (("Ben", 12.58),))
    ben.tape(entry, 1, "12.58", attempt.revision)
    assert best(ben.contest) == [("Reed", 12.58)]
    assert ContestCode.TWO_TAPES not in [one.code for one in findings(ben.contest)]
    tapes = [
        (one.who, one.data["metres"])
        for one in events_in(ada.store, ada.id)
        if "metres" in one.data
    ]
    assert tapes == [("Ada", 12.61), ("Ben", 12.58), ("Ben", 12.58)]


def test_many_judges_on_one_attempt_at_once_lose_nothing(organiser: Organiser, ada: Judge) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    ada.call(entry, 1)
    seen = ada.contest.entries[entry].attempts[1].revision
    start = Barrier(6)

    def work(k: int) -> None:
        judge = Judge(organiser.store, organiser.id, f"Judge {k}")
        start.wait(60)
        judge.remark(entry, 1, f"remark {k}")
        with suppress(ChangedMeanwhileError):
            judge.tape(entry, 1, f"{k + 1}", seen)
        with suppress(ChangedMeanwhileError):
            judge.penalty(entry, 1, "touched", seen)

    threads = [Thread(target=work, args=(k,)) for k in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    one = ada.contest.entries[entry].attempts[1]
    said = {(one.tape_by, one.tape_m), *one.doubted}
    assert said == {(f"Judge {k}", k + 1.0) for k in range(6)}
    assert (len(one.doubted), len(one.penalties), len(one.remarks)) == (5, 1, 6)
    numbers = [event.number for event in events_in(ada.store, ada.id)]
    assert numbers == list(range(1, len(numbers) + 1))


def test_a_remark_in_between_is_no_reason_to_ask(
    organiser: Organiser, ada: Judge, ben: Judge
) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    ben.remark(entry, 1, "left the lane")
    ada.tape(entry, 1, "5", seen=0)
    ben.tape(entry, 1, "5", seen=0)  # the same value needs no question either
    assert best(ada.contest) == [("Reed", 5.0)]
    assert ada.contest.entries[entry].attempts[1].doubted == ()


def test_a_run_that_was_attached_in_between_is_no_reason_to_ask(
    organiser: Organiser, ada: Judge, ben: Judge
) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    for name in ("Sedge", "Yarrow"):  # so that no number of an event is 0
        organiser.enter(name, "Dunlin")
    ada.call(entry, 1)
    seen = ada.contest.entries[entry].attempts[1].revision
    nothing = {"furthest_m": None, "resting_m": None, "time_s": None}
    data = {"entry": entry, "attempt": 1, **nothing}
    ada.store.contests.add(ada.id, "unspool", Kind.RUN, data, f"{entry}/1")
    ada.penalty(entry, 1, "touched", seen)
    ada.time(entry, 1, "4,5", seen)
    attempt = ada.contest.entries[entry].attempts[1]
    assert (len(attempt.penalties), attempt.time_s) == (1, 4.5)
    ada.penalty(entry, 1, "touched", seen)  # again, as no answer came
    with pytest.raises(ChangedMeanwhileError):
        ben.penalty(entry, 1, "touched", seen)
    with pytest.raises(ChangedMeanwhileError):
        ben.time(entry, 1, "4.6", seen)
    ben.time(entry, 1, "4.5", seen)
    assert len(ada.contest.entries[entry].attempts[1].penalties) == 1


def test_two_who_call_the_next_call_one(organiser: Organiser, ada: Judge, ben: Judge) -> None:
    first, second = organiser.enter("Reed", "A"), organiser.enter("Sedge", "B")
    seen = ada.contest.revision
    assert ada.call_next(seen) == (first, 1)
    assert ben.call_next(seen) == (first, 1)
    assert ben.call_next(ben.contest.revision) == (second, 1)


def test_undo_and_closing_leave_a_trace(organiser: Organiser, ada: Judge) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    ada.tape(entry, 1, "5")
    ada.penalty(entry, 1, "touched")
    assert best(ada.contest) == [("Reed", 4.5)]
    penalty = ada.contest.revision
    ada.undo(penalty)
    with pytest.raises(InputError):
        ada.undo(penalty)
    organiser.close()
    closed = ada.contest.revision
    for change in (
        lambda: ada.tape(entry, 1, "9"),
        lambda: ada.undo(penalty + 1),
        lambda: organiser.enter("Late", "Dunlin"),
        lambda: organiser.draw(),
    ):
        with pytest.raises(InputError):
            change()
    assert best(ada.contest) == [("Reed", 5.0)]
    ada.undo(closed)
    ada.tape(entry, 1, "9")
    kinds = [one.kind for one in events_in(ada.store, ada.id)]
    assert kinds[-6:] == [
        *(Kind.TAPE, Kind.PENALTY, Kind.UNDONE, Kind.CLOSED, Kind.UNDONE, Kind.TAPE)
    ]


@pytest.mark.parametrize("typed", ["", "abc", "-1", "1e9", "nan", "1.2.3"])
def test_a_tape_that_is_no_distance_is_refused(
    organiser: Organiser, ada: Judge, typed: str
) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    with pytest.raises(InputError):
        ada.tape(entry, 1, typed)
    with pytest.raises(InputError):
        ada.tape(entry, 99, "1")
    with pytest.raises(InputError):
        ada.tape(entry + 1, 1, "1")
    assert ada.contest.entries[entry].attempts == {}


def test_teams_may_be_renamed_and_names_stay_apart(organiser: Organiser, ada: Judge) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    organiser.enter("Sedge", "Sandpiper")
    ada.tape(entry, 1, "5")
    organiser.rename_team(" reed ", "Rushes")
    assert best(ada.contest)[0] == ("Rushes", 5.0)
    for refused in (("Rushes", "sedge"), ("nobody", "x"), ("Rushes", " ")):
        with pytest.raises(InputError):
            organiser.rename_team(*refused)
    with pytest.raises(InputError):
        organiser.enter("RUSHES", "sandpiper")
    assert organiser.contest.teams[organiser.contest.entries[entry].team] == "Rushes"


def test_a_forecast_comes_before_the_first_call(organiser: Organiser, ada: Judge) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    organiser.forecast(entry, "12,5")
    ada.call(entry, 1)
    with pytest.raises(InputError):
        organiser.forecast(entry, "13")
    assert ada.contest.entries[entry].forecast == 12.5


def test_the_seed_that_is_shown_draws_again(organiser: Organiser) -> None:
    entries = [organiser.enter(f"Team {number}", "Car") for number in range(9)]
    seed = organiser.draw()
    contest = organiser.contest
    assert contest.seed == seed
    assert contest.order == drawn(entries, seed)
    with pytest.raises(InputError):
        organiser.set_order(entries[1:])
    organiser.set_order(entries)
    assert (organiser.contest.order, organiser.contest.seed) == (tuple(entries), None)


def test_a_run_off_is_called_once_and_then_its_attempts(organiser: Organiser, ada: Judge) -> None:
    cars = [organiser.enter(team, "A") for team in ("Reed", "Sedge")]
    with pytest.raises(InputError):
        ada.run_off(cars[0])
    for attempt in (1, 2, 3):
        for entry in cars:
            ada.call(entry, attempt)
            ada.tape(entry, attempt, "5")
    ada.run_off(cars[1])
    with pytest.raises(InputError):
        ada.run_off(cars[0])
    assert [ada.call_next(), ada.call_next()] == [(cars[0], 4), (cars[1], 4)]
    ada.tape(cars[0], 4, "3")
    ada.tape(cars[1], 4, "4")
    assert best(ada.contest) == [("Sedge", 5.0), ("Reed", 5.0)]


def test_a_car_is_changed_and_keeps_its_attempts(organiser: Organiser, ada: Judge) -> None:
    entry, other = organiser.enter("Reed", "A"), organiser.enter("Reed", "B")
    ada.tape(entry, 1, "5")
    organiser.change(entry, "C", "1,1", "13")
    with pytest.raises(InputError):
        organiser.change(other, "c")
    found = organiser.contest.entries[entry]
    assert (found.car, found.weight_g, found.age) == ("C", 1.1, 13.0)
    assert best(organiser.contest)[0] == ("Reed", 5.0)


def test_a_repeated_attempt_brings_no_second_forecast(organiser: Organiser, ada: Judge) -> None:
    entry = organiser.enter("Reed", "A")
    ada.call_next()
    ada.repeat(entry, 1, "The tape slipped")
    assert ada.call_next() == (entry, 1)
    ada.repeat(entry, 1, "A visitor stood in the lane")
    with pytest.raises(InputError):
        organiser.forecast(entry, "5")


def test_a_log_of_a_newer_unspool_is_refused_and_left_as_it_is(
    organiser: Organiser, ada: Judge
) -> None:
    entry = organiser.enter("Reed", "Sandpiper")
    ada.store.contests.add(ada.id, "Ada", "of a later year", {"x": 1})
    for change in (
        lambda: ada.contest,
        lambda: ada.tape(entry, 1, "5"),
        lambda: ada.undo(1),
        lambda: organiser.enter("Sedge", "Dunlin"),
        lambda: attach_late(ada.store, ada.id),
    ):
        with pytest.raises(StoreError, match="newer unspool"):
            change()
    assert ada.store.contests.events(ada.id)[-1].kind == "of a later year"
    assert attach_run(ada.store, "1", "Sandpiper") is None  # another contest may take it


def test_the_lot_is_drawn_before_the_first_call(organiser: Organiser, ada: Judge) -> None:
    entries = [organiser.enter(team, "A") for team in ("Reed", "Sedge")]
    organiser.draw("first")
    ada.call_next()
    with pytest.raises(InputError):
        organiser.draw("again")
    organiser.set_order(entries)
    assert organiser.contest.order == tuple(entries)
