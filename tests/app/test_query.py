"""Addresses say what to study; what they cannot mean is ignored."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.app.query import MOST_RUNS, address, parse_query


def test_runs_are_taken_once_and_in_order() -> None:
    wanted = parse_query("?run=3&run=1&run=3&run=x&run=-4&run=&by=car&learn=2")
    assert wanted.ids() == ("3", "1")
    assert wanted.ids("learn") == ("2",)
    assert wanted.one_of("by", ("winding", "car")) == "car"
    assert wanted.one_of("by", ("winding",)) is None


@pytest.mark.parametrize(
    ("text", "number"),
    [("12", 12.0), ("1.5", 1.5), ("-2", -2.0), (".5", 0.5), ("2,5", 2.5)]
    + [(text, None) for text in ("", "nan", "inf", "1.234,5", ".", "-", "9999999")],
)
def test_numbers(text: str, number: float | None) -> None:
    assert parse_query(f"?mark={text}").number("mark") == number


def test_no_more_runs_than_can_be_read() -> None:
    many = "&".join(f"run={i}" for i in range(150))
    assert len(parse_query(many).ids()) == MOST_RUNS


ids = st.from_regex(r"[0-9]{1,18}", fullmatch=True)


@given(st.lists(ids, max_size=9, unique=True), st.text(min_size=1, max_size=9), st.text())
def test_ids_come_back_from_among_anything(runs: list[str], text: str, mark: str) -> None:
    junk = f"{text}x"
    pairs = [("run", junk), *(pair for run in runs for pair in (("run", run), ("run", junk)))]
    wanted = parse_query("?" + urlencode([("mark", mark), *pairs]))
    assert wanted.ids() == tuple(runs)
    wanted.number("mark")


@given(st.text(max_size=300))
def test_any_address_can_be_asked(search: str) -> None:
    wanted = parse_query(search)
    assert all(run.isdigit() for run in wanted.ids())
    wanted.number("mark")


def test_an_address_is_what_was_chosen() -> None:
    chosen = address("/side-by-side", {"run": ["3", "1"], "by": "car", "mark": None, "learn": []})
    assert chosen == "/side-by-side?run=3&run=1&by=car"
    assert parse_query(chosen.partition("?")[2]).ids() == ("3", "1")
    assert address("/next-winding", {}) == "/next-winding"
