"""Rankings: what must hold for all rules, and small cases worked by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contest.made import Notes, measured
from unspool.contest import (
    By,
    Class,
    ContestCode,
    Kind,
    Measure,
    Penalty,
    Rules,
    Score,
    Ties,
    board,
    counting,
    findings,
    forecasters,
    order_of,
    ties,
)
from unspool.contest.run_offs import extra_number

Teams = dict[str, list[float | None]]
VALUES = st.one_of(st.none(), st.integers(0, 12).map(float))
RULES = st.builds(
    lambda measure, score, drop, ties: Rules(
        measure=measure, mark_m=5.0, score=score, drop_worst=drop, ties=ties
    ),
    st.sampled_from([Measure.FURTHEST, Measure.TIME]),
    st.sampled_from(Score),
    st.integers(0, 2),
    st.sampled_from(Ties),
)
TEAMS = st.dictionaries(st.sampled_from("abcdefg"), st.lists(VALUES, min_size=3, max_size=3))


def places(rules: Rules, teams: Mapping[str, Sequence[float | None]]) -> dict[str, int | None]:
    (only,) = board(measured(rules, teams))
    return {row.team: row.place for row in only.rows}


@given(RULES, TEAMS, st.randoms())
def test_the_order_of_entries_changes_no_place(rules: Rules, teams: Teams, lot: object) -> None:
    names = list(teams)
    lot.shuffle(names)  # type: ignore[attr-defined]  # hypothesis gives a random.Random
    assert places(rules, teams) == places(rules, {name: teams[name] for name in names})


@given(RULES, TEAMS.filter(bool), st.integers(0, 2), st.integers(0, 5))
def test_a_worse_attempt_never_betters_a_place(
    rules: Rules, teams: Teams, which: int, more: int
) -> None:
    name = min(teams)
    value = teams[name][which]
    if value is None:
        return
    worse: float | None = value + more if rules.least_wins else value - more
    if worse is not None and worse < 0.0:
        worse = None
    other = [*teams[name]]
    other[which] = worse
    before, after = places(rules, teams)[name], places(rules, teams | {name: other})[name]
    assert after is None or (before is not None and after >= before)


@given(RULES.filter(lambda r: r.score is not Score.SUM or r.least_wins), TEAMS.filter(bool))
def test_an_attempt_worse_than_all_before_never_betters(rules: Rules, teams: Teams) -> None:
    """Except in a sum of distances, to which each attempt adds."""
    name = min(teams)
    two = [4.0, 6.0]
    worst = 20.0 if rules.least_wins else 1.0
    plain = rules.model_copy(update={"drop_worst": 0, "ties": Ties.SHARED})
    before = places(plain, teams | {name: two})[name]
    after = places(plain, teams | {name: [*two, worst]})[name]
    assert before is not None
    assert after is not None
    assert after >= before


@given(RULES, st.lists(VALUES, min_size=3, max_size=3), TEAMS)
def test_two_with_the_same_attempts_share_a_place(
    rules: Rules, same: list[float | None], teams: Teams
) -> None:
    found = places(rules, teams | {"x": same, "y": list(reversed(same))})
    assert found["x"] == found["y"]


CASES = [
    (Rules(), {"a": [5, 9, 1], "b": [8, 8, 8]}, {"a": 9.0, "b": 8.0}),
    (Rules(score=Score.MEAN), {"a": [5, 9, 1], "b": [8, 8, None]}, {"b": 16 / 3, "a": 5.0}),
    (Rules(score=Score.SUM), {"a": [5, 9, 1], "b": [8, 8]}, {"b": 16.0, "a": 15.0}),
    (Rules(score=Score.MEAN, drop_worst=1), {"a": [5, 9, 1], "b": [8, 5, 1]}, {"a": 7, "b": 6.5}),
    (Rules(), {"a": [None, None, None], "b": [0]}, {"b": 0.0, "a": None}),
    (Rules(measure=Measure.TIME, mark_m=5), {"a": [4, 3], "b": [2.5]}, {"b": 2.5, "a": 3.0}),
    (
        Rules(measure=Measure.TIME, mark_m=5, score=Score.SUM),
        {"a": [4, 3, None], "b": [4, 4, 4]},
        {"b": 12.0, "a": None},
    ),
]


@pytest.mark.parametrize(("rules", "teams", "expected"), CASES)
def test_scores_by_hand(rules: Rules, teams: Teams, expected: dict[str, float | None]) -> None:
    (only,) = board(measured(rules, teams))
    found = {row.team: row.score for row in only.rows}
    assert list(found) == list(expected)
    assert found == pytest.approx(expected)


def test_the_next_best_attempts_decide_a_tie() -> None:
    teams = {"a": [9.0, 1.0, 2.0], "b": [9.0, 3.0, None], "c": [9.0, 1.0, 2.0]}
    assert places(Rules(), teams) == {"b": 1, "a": 2, "c": 2}
    assert places(Rules(ties=Ties.SHARED), teams) == {"a": 1, "b": 1, "c": 1}


def test_a_run_off_decides_and_is_asked_for() -> None:
    rules = Rules(ties=Ties.RUN_OFF, attempts=1)
    notes = Notes(rules)
    a, b = notes.enter("a"), notes.enter("b")
    notes.tape(a, 1, 9.0)
    notes.tape(b, 1, 9.0)
    (asked,) = findings(notes.contest)
    assert (asked.code, asked.values["place"]) == (ContestCode.RUN_OFF_NEEDED, 1)
    notes.tape(a, 2, 3.0)
    notes.tape(b, 2, 4.0)
    (only,) = board(notes.contest)
    assert [(row.team, row.place, row.score) for row in only.rows] == [("b", 1, 9.0), ("a", 2, 9.0)]
    assert findings(notes.contest) == ()


def test_a_run_off_waits_for_all_attempts_and_can_be_repeated() -> None:
    """The next best attempts decide first, and then a run-off of those who still tie."""
    notes = Notes(Rules(attempts=2))
    a, b, c = (notes.enter(team) for team in "abc")
    for entry, second in ((a, 4.0), (b, 4.0), (c, 3.0)):
        notes.tape(entry, 1, 9.0)
        assert ties(notes.contest) == ()
        notes.tape(entry, 2, second)
    (tie,) = ties(notes.contest)
    assert (tie.place, tie.entries) == (1, (a, b))
    for number in (3, 4):
        assert extra_number(notes.contest, ties(notes.contest)[0]) == number
        notes.note(Kind.RUN_OFF, entries=[a, b], number=number)
        assert ties(notes.contest) == ()
        for entry in (a, b):
            assert order_of(notes.contest)[-2:] == ((a, number), (b, number))
            notes.tape(entry, number, 5.0 if number == 3 else 5.0 + entry)
    assert ties(notes.contest) == ()
    assert [(row.team, row.place) for row in board(notes.contest)[0].rows] == [
        *(("b", 1), ("a", 2), ("c", 3)),
    ]


def test_the_attempts_that_make_the_score() -> None:
    rules = Rules(score=Score.MEAN, drop_worst=1)
    contest = measured(rules, {"a": [5.0, None, 9.0], "b": [3.0, 7.0, 4.0]})
    found = {contest.teams[e.team]: counting(e, rules) for e in contest.entries.values()}
    assert found == {"a": {1, 3}, "b": {2, 3}}


def test_penalties_take_off_and_void() -> None:
    touched = Penalty(name="touched", metres=0.5)
    notes = Notes(Rules(penalties=(touched,)))
    entry = notes.enter("a")
    notes.tape(entry, 1, 9.004)
    notes.note(Kind.PENALTY, entry=entry, attempt=1, **touched.model_dump())
    (only,) = board(notes.contest)
    assert only.rows[0].attempts == (8.5, None, None)
    void = touched.model_copy(update={"void": True})
    notes.note(Kind.PENALTY, entry=entry, attempt=1, **void.model_dump())
    (only,) = board(notes.contest)
    assert (only.rows[0].place, only.rows[0].attempts[0]) == (None, None)


def test_each_class_has_a_ranking_of_its_own() -> None:
    light, heavy = Class(name="light", weight_max_g=500), Class(name="heavy", weight_min_g=500.1)
    notes = Notes(Rules(classes=(light, heavy)))
    for team, weight in (("a", 400.0), ("b", 700.0), ("c", None), ("d", 500.0)):
        notes.tape(notes.enter(team, weight_g=weight), 1, 5.0 + len(notes.events))
    boards = {one.class_name: [(r.team, r.place) for r in one.rows] for one in board(notes.contest)}
    assert boards == {"light": [("d", 1), ("a", 2)], "heavy": [("b", 1)], "": [("c", 1)]}
    assert [one.code for one in findings(notes.contest)] == [ContestCode.NO_CLASS]


@pytest.mark.parametrize(
    ("by", "score"), [(By.TAPE, 9.0), (By.WHEEL, 8.0), (By.TAPE_FIRST, 9.0), (By.WHEEL_FIRST, 8.0)]
)
def test_tape_and_wheel(by: By, score: float) -> None:
    notes = Notes(Rules(by=by, measure=Measure.RESTING))
    entry = notes.enter("a")
    notes.tape(entry, 1, 9.0)
    of_run = {"run": "4", "furthest_m": 12.0, "resting_m": 8.0, "time_s": None}
    notes.note(Kind.RUN, entry=entry, attempt=1, **of_run)
    assert board(notes.contest)[0].rows[0].score == score
    (found,) = findings(notes.contest)
    assert found.code == ContestCode.TAPE_AND_WHEEL_DIFFER
    assert (found.values["tape_m"], found.values["wheel_m"]) == (9.0, 8.0)


def test_the_least_error_knew_its_car_best() -> None:
    notes = Notes(Rules())
    for team, forecast, result in (("a", 10.0, 9.0), ("b", 2.0, 2.5), ("c", None, 3.0)):
        entry = notes.enter(team)
        notes.tape(entry, 1, result)
        if forecast is not None:
            notes.note(Kind.FORECAST, entry=entry, value=forecast)
    contest = notes.contest
    assert [(one.team, one.error) for one in forecasters(contest)] == [("b", 0.5), ("a", 1.0)]
    relative = replace(contest, rules=Rules(forecast="relative"))
    assert [(o.team, o.error) for o in forecasters(relative)] == [("a", 0.111), ("b", 0.2)]
