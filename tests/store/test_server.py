"""A store on a server: who is let in, what it says, and that it goes away and returns."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from hypothesis import given
from hypothesis import strategies as st

from database_server import DatabaseServer
from store.directly import say
from store.recorded import CAR, run_at
from unspool.errors import InputError, StoreError, StoreWaitError
from unspool.store import Field, Place, Server, Store, place_of
from unspool.store.any_text import hidden, shown
from unspool.store.server import WRITERS
from unspool.store.server_errors import server_error

HOSTILE = (
    "a\0b",
    "\0",
    "'; DROP TABLE runs; --",
    "%s %(x)s",
    "\uf8ff0\0\uf8ff\uf8ff",
    "\U0001f697",
)


@given(st.text(st.sampled_from("\0\uf8ff0a"), max_size=9))
def test_text_of_any_characters_comes_back(text: str) -> None:
    assert shown(hidden(text)) == text
    assert "\0" not in hidden(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_kept_as_it_is(place: Place, text: str) -> None:
    with Store.open(place) as store:
        run = store.save_found(store.begin_capture(text).capture, run_at(10), CAR)
        store.correct(run, {Field.NOTE: text, Field.TAGS: (text,)}, text)
        sheet = 'name = "Dunlin"'
        assert store.cars.save(sheet, "Dunlin", text).current.text == sheet
        assert store.run(run).builder_note == text
        assert store.run(run).tags == (text,)
        assert store.captures()[0].link == text
        assert {line.who for line in store.history(run)} == {text}
        assert store.runs()[0].builder_note == text


def test_an_id_is_never_given_twice(place: Place) -> None:
    with Store.open(place) as store:
        log = store.begin_capture("virtual:")
        assert [store.save_found(log.capture, run_at(n), CAR) for n in (10, 40)] == ["1", "2"]
        say(place, "DELETE FROM runs WHERE id = 2")
        assert store.save_found(log.capture, run_at(40), CAR) == "3"


def test_a_server_that_goes_away_and_returns(server: DatabaseServer) -> None:
    with server.fresh() as place, Store.open(place) as store:
        log = store.begin_capture("virtual:")
        log.append(1.0, b"kept")
        server.stop()
        try:
            with pytest.raises(StoreWaitError) as caught:
                log.append(2.0, b"refused")
            with pytest.raises(StoreWaitError):
                store.runs()
        finally:
            server.start()
        assert str(place) in str(caught.value)
        assert "\n" not in str(caught.value)
        log.append(3.0, b"again")
        assert [chunk.data for chunk in store.chunks(log.capture)] == [b"kept", b"again"]


def test_a_connection_that_is_cut_in_a_transaction_keeps_nothing_of_it(
    server: DatabaseServer,
) -> None:
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE datname LIKE 'test%' AND pid <> pg_backend_pid()"
    )
    with server.fresh() as place, Store.open(place) as store:

        def write() -> None:
            with store._write() as connection:
                connection.exec_driver_sql("INSERT INTO cars (name, text) VALUES ('a', 'b')")
                server.say(cut)
                connection.exec_driver_sql("INSERT INTO cars (name, text) VALUES ('c', 'd')")

        with pytest.raises(StoreWaitError):
            write()
        with store._read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM cars").scalar_one() == 0


def test_a_writer_waits_for_its_turn_and_readers_for_nobody(server: DatabaseServer) -> None:
    with server.fresh() as place, Store.open(place, busy_s=0.05) as store:
        with psycopg.connect(place.url.replace("+psycopg", "")) as other:
            other.execute(f"SELECT pg_advisory_xact_lock({WRITERS})")
            with pytest.raises(StoreWaitError, match="busy"):
                store.begin_capture("virtual:")
            assert store.captures() == []
        assert store.begin_capture("virtual:").capture == 1


def test_who_may_only_read_reads(server: DatabaseServer) -> None:
    with server.fresh() as place:
        with Store.open(place) as store:
            store.begin_capture("virtual:")
        name = place.url.partition("@/")[2].partition("?")[0]
        say(place, "CREATE ROLE guest LOGIN")
        say(place, "GRANT SELECT ON ALL TABLES IN SCHEMA public TO guest")
        with Store.open(server.database(name, "guest")) as store:
            assert len(store.captures()) == 1
            with pytest.raises(StoreError, match="may not be written") as caught:
                store.begin_capture("virtual:")
            assert not isinstance(caught.value, StoreWaitError)
        say(place, "DROP OWNED BY guest")
        server.say("DROP ROLE guest")


def test_a_server_that_is_not_there(tmp_path: Path) -> None:
    nobody = Server(f"postgresql+psycopg://ada:secret@/runs?host={tmp_path}")
    with pytest.raises(StoreWaitError) as caught:
        Store.open(nobody)
    assert "secret" not in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("url", "said"),
    [
        ("postgresql+psycopg://ada:se@cret@h/n", "postgresql+psycopg://ada:***@h/n"),
        (
            "postgresql+psycopg://h/n?user=a&password=se",
            "postgresql+psycopg://h/n?user=a&password=***",
        ),
        ("postgresql+psycopg://ada@h/n", "postgresql+psycopg://ada@h/n"),
    ],
)
def test_a_password_is_never_said(url: str, said: str) -> None:
    assert str(place_of(url)) == repr(place_of(url)) == said


@pytest.mark.parametrize("address", ["mysql://h/n", "http://h", "sqlite:///x", "postgresql://h/n"])
def test_an_address_of_another_kind_is_refused(address: str) -> None:
    with pytest.raises(InputError):
        place_of(address)


@pytest.mark.parametrize("url", ["postgresql+psycopg://h:x/n", "postgresql+psycopg://"])
def test_an_address_that_leads_nowhere_is_one_sentence(url: str) -> None:
    with pytest.raises(StoreError) as caught:
        Store.open(Server(url + "?connect_timeout=1&host=/nowhere"))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("53100", StoreWaitError),
        ("40P01", StoreWaitError),
        ("XX001", StoreError),
        ("22P05", StoreError),
    ],
)
def test_each_failure_waits_or_ends(code: str, kind: type[StoreError]) -> None:
    error = psycopg.errors.lookup(code)("what it says\nLINE 1: ...")
    assert type(server_error(Server("postgresql+psycopg://h/n"), error)) is kind


def test_commands_work_on_a_server(server: DatabaseServer) -> None:
    with server.fresh("template0") as place:
        with Store.open(place) as store:
            store.save_found(store.begin_capture("virtual:").capture, run_at(10), CAR)
        command = [sys.executable, "-m", "unspool", "runs", "--json", "--store", place.url]
        out = subprocess.run(command, capture_output=True, text=True, check=True)
        assert [run["id"] for run in json.loads(out.stdout)["runs"]] == ["1"]
