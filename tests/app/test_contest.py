"""A contest's pages over their addresses: what they send, their sheets, and who may."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

import sample_run
from app_parts import car_text, filled_store, read_sample
from board_rig import wait_for
from unspool.app import Access, LiveBoards, Sharing, create_app
from unspool.app.contest_acts import act
from unspool.app.contest_hub import ContestHub
from unspool.app.contest_runs import ContestRuns
from unspool.app.contest_socket import LONGEST_REASON
from unspool.app.pages.contest_board import under_way
from unspool.app.permissions import may_change, rights
from unspool.app.rights import Right
from unspool.app.routes import is_page, page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.errors import InputError, StoreError
from unspool.judging import Judge, Organiser, contest_in, events_in
from unspool.reading.edges.ending import Ending
from unspool.store import FoundRun, Store, Winding

HOME = "http://127.0.0.1:8437"
HOSTILE = '<img src=x onerror="window.hacked=1">'


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper",)) as opened:
        yield opened


def asked(
    store: Store, path: str, sent: Any = None, client: str = "127.0.0.1", shared: bool = False
) -> httpx.Response:
    app = create_app(store, None, read_sample, Sharing(Access(shared=shared))).server

    async def answer() -> httpx.Response:
        transport = httpx.ASGITransport(app, client=(client, 1))
        async with httpx.AsyncClient(transport=transport, base_url=HOME) as http:
            if sent is None:
                return await http.get(path)
            return await http.post(path, content=json.dumps(sent))

    return asyncio.run(answer())


def test_two_judges_by_their_pages_and_nothing_is_lost(store: Store) -> None:
    made = asked(store, "/contest/new", {"name": HOSTILE}).json()
    say = f"{made['href']}/say"
    car = {"act": "enter", "team": HOSTILE, "car": "Sandpiper", "weight": "1,5"}
    assert asked(store, say, car).status_code == 200
    state = contest_in(store, "1")
    (entry,) = state.entries
    tape = {"act": "tape", "entry": str(entry), "attempt": "1", "seen": "0"}
    assert asked(store, say, tape | {"metres": "12,61", "who": "Ada"}).status_code == 200
    second = asked(store, say, tape | {"metres": "12.58", "who": "Ben"})
    assert second.status_code == 409
    assert contest_in(store, "1").entries[entry].attempts[1].tape_m == 12.61
    again = tape | {"metres": "12.58", "who": "Ben", "seen": second.json()["seen"]}
    assert asked(store, say, again).status_code == 200
    assert contest_in(store, "1").entries[entry].attempts[1].tape_m == 12.58
    assert [one.who.split(" ")[0] for one in events_in(store, "1")][-3:] == ["Ada", "Ben", "Ben"]
    studies = Studies(RunCache(store, read_sample))
    for path in ("/contest", "/contest/1", "/contest/1/judge", "/contest/1/board"):
        assert is_page(path)
        assert "unspool made a mistake" not in str(page_for(path, "", studies, LiveBoards()).body)


@pytest.mark.parametrize(
    "sent",
    [
        *([], "x", {"act": 1}, {}, {"act": "nothing"}, {"act": "tape"}),
        {"act": "tape", "entry": "9", "attempt": "1", "metres": "1"},
        {"act": "undo", "event": "99"},
        {"act": "undo", "event": "-1"},
        {"act": "rules", "rules": "attempts = 0"},
        {"act": "enter", "team": " ", "car": "x"},
        {"act": "move", "entry": "x"},
    ],
)
def test_what_no_page_sends_changes_nothing(store: Store, sent: object) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    before = made.contest.revision
    answer = asked(store, f"/contest/{made.id}/say", sent)
    assert (answer.status_code, made.contest.revision) == (409, before)
    assert answer.json()["text"].endswith(".")
    assert asked(store, "/contest/77/say", {"act": "next"}).status_code == 409


RUN_OFF = '"act": "run-off"'  # what its button sends


def test_a_run_off_is_called_from_the_judges_page(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup", "attempts = 1")
    cars = [made.enter(team, "A") for team in ("Reed", "Sedge")]
    say = f"/contest/{made.id}/say"
    studies = Studies(RunCache(store, read_sample))
    judge = Judge(store, made.id, "Ada")
    for entry in cars:
        assert RUN_OFF not in _judge_page(studies)
        judge.call(entry, 1)
        judge.tape(entry, 1, "5")
    assert RUN_OFF in _judge_page(studies)
    assert asked(store, say, {"act": "run-off", "entry": str(cars[0])}).status_code == 200
    assert RUN_OFF not in _judge_page(studies)
    called = asked(store, say, {"act": "next"}).json()
    assert called["at"] == f"?entry={cars[0]}&attempt=2"


def _judge_page(studies: Studies) -> str:
    """With the quotes of what its buttons send."""
    body = page_for("/contest/1/judge", "", studies, LiveBoards()).body
    return str(body).replace("\\'", "'")


def test_a_judge_takes_back_what_judges_note_and_nothing_else(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    entry = made.enter("Reed", "A")
    Judge(store, made.id, "Ada").tape(entry, 1, "5")
    hub = ContestHub(store)
    with rights_of(Right.JUDGE):
        with pytest.raises(InputError):
            act(hub, made.id, {"act": "undo", "event": str(entry)})
        act(hub, made.id, {"act": "undo", "event": str(made.contest.revision)})
    assert made.contest.attempt(entry, 1).tape_m is None
    assert list(made.contest.entries) == [entry]


@contextmanager
def rights_of(right: Right) -> Iterator[None]:
    """As the guard sets them for a request of who gave that right's PIN."""
    before = rights.set(frozenset({right})), may_change.set(False)
    try:
        yield
    finally:
        rights.reset(before[0])
        may_change.reset(before[1])


def test_guests_look_on_and_judge_nothing(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    made.enter("Reed", "Sandpiper")
    guest = {"client": "192.0.2.7", "shared": True}
    answer = asked(store, f"/contest/{made.id}/say", {"act": "next"}, **guest)
    assert answer.status_code == 403
    assert made.contest.called is None
    assert asked(store, f"/contest/{made.id}/sheets/results.csv", **guest).status_code == 200


@pytest.mark.parametrize("sheet", ["entries", "attempts", "results", "certificates", "log"])
def test_sheets(store: Store, sheet: str) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    made.enter("=1+1", "Sandpiper")
    paper = asked(store, f"/contest/1/sheets/{sheet}.pdf")
    assert paper.content.startswith(b"%PDF")
    table = asked(store, f"/contest/1/sheets/{sheet}.csv")
    assert (table.status_code == 404) == (sheet == "certificates")
    assert ",=1+1" not in table.text
    assert asked(store, "/contest/1/sheets/nothing.pdf").status_code == 404
    assert asked(store, "/contest/2/sheets/results.pdf").status_code == 404


def test_however_many_watch_the_store_is_asked_once_a_second(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    now = [0.0]
    hub = ContestHub(store, lambda: now[0])
    heard: list[str] = []
    leave = hub.subscribe(lambda: heard.append("news"))
    first = hub.revision(made.id)
    entry = made.enter("Reed", "Sandpiper")  # as another program does
    assert hub.revision(made.id) == first
    now[0] = 1.0
    assert hub.revision(made.id) == entry
    Judge(store, made.id, "Ada").tape(entry, 1, "5")
    hub.changed(made.id)
    assert (hub.revision(made.id), heard) == (entry + 1, ["news"])
    leave()
    assert hub.state(made.id) is hub.state(made.id)


def test_a_page_that_follows_hears_why_that_ends_in_as_many_bytes_as_a_socket_takes(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lost(_hub: ContestHub, _contest: str) -> int:
        raise StoreError("Я" * 200)

    monkeypatch.setattr(ContestHub, "revision", lost)
    app = create_app(store, None, read_sample).server
    client = TestClient(app, client=("127.0.0.1", 1), base_url=HOME)
    with (
        client.websocket_connect(f"{HOME.replace('http', 'ws')}/contest/1/live") as socket,
        pytest.raises(WebSocketDisconnect) as gone,
    ):
        socket.receive_json()
    assert gone.value.reason == "Я" * (LONGEST_REASON // 2)


def test_while_a_page_watches_runs_of_others_are_attached(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    entry = made.enter("Reed", "Sandpiper")
    Judge(store, made.id, "Ada").call(entry, 1)
    now = [0.0]
    hub = ContestHub(store, lambda: now[0])
    hub.on_look(ContestRuns(hub).look)
    train = replace(sample_run.sample_motion().train, ending=Ending.STOOD_STILL)
    found = FoundRun(train, 1, 250_000.0, datetime.now(UTC), Winding(8.9), None)
    run = store.save_found(store.begin_capture("virtual:").capture, found, car_text("Sandpiper"))
    hub.revision(made.id)
    wait_for(lambda: made.contest.entries[entry].attempts[1].wheel, "the run")
    assert made.contest.entries[entry].attempts[1].wheel.run == run


def test_a_contest_of_a_newer_unspool_is_no_obstacle_to_the_others(store: Store) -> None:
    Organiser.make(store, "Ada", "Readable cup")
    store.contests.add(store.contests.make(), "Ada", "of a later year", {})
    studies = Studies(RunCache(store, read_sample))

    def page(path: str) -> str:
        return str(page_for(path, "", studies, LiveBoards()).body)

    assert "Readable cup" in page("/contest")
    assert "newer unspool" in page("/contest")
    assert "newer unspool" in page("/contest/2/judge")
    sheet = asked(store, "/contest/2/sheets/results.csv")
    assert (sheet.status_code, "newer unspool" in sheet.text) == (500, True)
    answer = asked(store, "/contest/2/say", {"act": "next"})
    assert (answer.status_code, "newer unspool" in answer.json()["text"]) == (500, True)


def test_two_lanes_are_under_way_until_each_is_measured(store: Store) -> None:
    made = Organiser.make(store, "Ada", "Cup")
    cars = [made.enter(team, "A") for team in ("Reed", "Sedge", "Rushes")]
    judge = Judge(store, made.id, "Ada")
    assert under_way(made.contest) == ()
    for entry in cars:  # the first one was called and forgotten
        judge.call(entry, 1)
    assert under_way(made.contest) == ((cars[1], 1), (cars[2], 1))
    judge.tape(cars[1], 1, "5")
    assert under_way(made.contest) == ((cars[2], 1),)
