"""What events add up to: undo, renames, clocks set back, two judges, the order by lot."""

from __future__ import annotations

from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contest.made import Notes
from unspool.contest import (
    Class,
    ContestCode,
    Kind,
    Measure,
    Rules,
    contest_of,
    drawn,
    findings,
    order_of,
    parse_rules,
    rules_toml,
)
from unspool.contest.order import next_attempt
from unspool.errors import InputError


def test_undo_takes_back_and_undo_of_undo_brings_back() -> None:
    notes = Notes()
    entry = notes.enter("a")
    notes.tape(entry, 1, 5.0)
    second = notes.tape(entry, 1, 6.0)
    undone = notes.note(Kind.UNDONE, event=second)
    assert notes.contest.entries[entry].attempts[1].tape_m == 5.0
    assert notes.contest.entries[entry].attempts[1].revision == undone
    notes.note(Kind.UNDONE, event=undone)
    assert notes.contest.entries[entry].attempts[1].tape_m == 6.0


def test_a_team_renamed_in_the_middle_keeps_its_results() -> None:
    notes = Notes()
    entry = notes.enter("Old name")
    notes.tape(entry, 1, 5.0)
    notes.note(Kind.TEAM_RENAMED, team=notes.contest.entries[entry].team, name="New name")
    notes.tape(entry, 2, 6.0)
    contest = notes.contest
    assert contest.title(contest.entries[entry]) == "New name, Sandpiper"
    assert sorted(contest.entries[entry].attempts) == [1, 2]


def test_a_clock_that_is_set_back_changes_nothing() -> None:
    notes = Notes()
    entry = notes.enter("a")
    notes.note(Kind.TAPE, at_us=9_000_000, entry=entry, attempt=1, metres=5.0)
    notes.note(Kind.TAPE, at_us=1_000_000, entry=entry, attempt=1, metres=6.0)
    assert contest_of(list(reversed(notes.events))).entries[entry].attempts[1].tape_m == 6.0


def test_the_tape_of_a_second_judge_is_kept_and_counts_not() -> None:
    notes = Notes()
    entry = notes.enter("a")
    notes.tape(entry, 1, 5.0)
    notes.note(Kind.DOUBTED, "Ben", entry=entry, attempt=1, metres=5.4)
    attempt = notes.contest.entries[entry].attempts[1]
    assert (attempt.tape_m, attempt.tape_by, attempt.doubted) == (5.0, "Ada", (("Ben", 5.4),))
    assert [one.code for one in findings(notes.contest)] == [ContestCode.TWO_TAPES]


def test_attempts_come_in_rounds_and_each_is_called_once() -> None:
    notes = Notes(Rules(attempts=2, order="reversed"))
    a, b, gone = notes.enter("a"), notes.enter("b"), notes.enter("c")
    notes.note(Kind.WITHDRAWN, entry=gone)
    notes.note(Kind.ORDER, entries=[b, a, gone], seed=None)
    assert order_of(notes.contest) == ((b, 1), (a, 1), (a, 2), (b, 2))
    for expected in ((b, 1), (a, 1), (a, 2), (b, 2)):
        assert next_attempt(notes.contest) == expected
        notes.note(Kind.CALLED, entry=expected[0], attempt=expected[1])
        assert notes.contest.called == expected
    assert next_attempt(notes.contest) is None


@given(st.sets(st.integers(1, 500)), st.text(max_size=20), st.randoms())
def test_the_lot_depends_on_the_seed_alone(entries: set[int], seed: str, lot: object) -> None:
    order = drawn(sorted(entries), seed)
    shuffled = sorted(entries)
    lot.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis gives a random.Random
    assert drawn(shuffled, seed) == order
    assert set(order) == entries
    digests = [sha256(f"{seed}:{one}".encode()).digest() for one in order]
    assert digests == sorted(digests)


RULES = """
unspool_rules = 1
attempts = 4
measure = "time"
mark_m = 10
score = "mean"
drop_worst = 1
[[penalties]]
name = "touched"
seconds = 0.5
[[classes]]
name = "light"
weight_max_g = 500
"""


def test_rules_come_back_from_their_text() -> None:
    rules = parse_rules(RULES, "rules")
    assert (rules.measure, rules.counted, rules.least_wins) == (Measure.TIME, 3, True)
    assert parse_rules(rules_toml(rules), "again") == rules


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("attempts = 0", ["attempts"]),
        ('attempts = 0\nmeasure = "luck"\nfoo = 1', ["attempts", "measure", "foo"]),
        ('measure = "time"', ["mark_m"]),
        ("drop_worst = 3", ["drop_worst"]),
        ('[[classes]]\nname = "A"\n[[classes]]\nname = "a"', ["name"]),
        ("resolution = nan", ["resolution"]),
    ],
)
def test_all_faults_of_rules_are_named(text: str, where: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        parse_rules(text, "rules")
    assert [fault.where for fault in caught.value.faults] == where


def test_rules_of_a_newer_form_are_refused() -> None:
    with pytest.raises(InputError):
        parse_rules("unspool_rules = 2", "rules")


def test_an_attempt_that_is_repeated_starts_again_and_comes_next() -> None:
    notes = Notes(Rules(attempts=2))
    a, b = notes.enter("a"), notes.enter("b")
    for entry in (a, b):
        notes.note(Kind.CALLED, entry=entry, attempt=1)
        notes.tape(entry, 1, 5.0)
    assert (notes.contest.calls, notes.contest.measured) == (((a, 1), (b, 1)), (b, 1))
    repeated = notes.note(Kind.REPEATED, entry=b, attempt=1, text="the tape slipped")
    contest = notes.contest
    assert (contest.called, contest.measured, next_attempt(contest)) == ((a, 1), None, (b, 1))
    assert (contest.attempt(b, 1).tape_m, contest.attempt(b, 1).repeated) == (None, True)
    assert contest.attempt(b, 1).revision == repeated
    notes.note(Kind.UNDONE, event=repeated)
    assert notes.contest.attempt(b, 1).tape_m == 5.0


def test_what_was_entered_of_a_car_can_be_put_right() -> None:
    notes = Notes(Rules(classes=(Class(name="light", weight_max_g=500),)))
    entry = notes.enter("a", weight_g=900.0)
    notes.note(Kind.ENTRY_CHANGED, entry=entry, car="Knot", weight_g=450.0, age=None)
    found = notes.contest.entries[entry]
    assert (found.car, found.class_in(notes.contest.rules)) == ("Knot", "light")
