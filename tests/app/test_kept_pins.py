"""PINs that are kept: what each opens, until it is taken away, and what the history says."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Event, Thread

import httpx
import pytest
from fastapi import FastAPI

from app_parts import filled_store, read_sample
from cheap_pins import cheap
from unspool.app import Access, Sharing, create_app
from unspool.app.kept_pins import AWAY_S, FRESH_S, KeptPins
from unspool.app.pin import own_page
from unspool.app.throttle import FREE_TRIES, Throttle
from unspool.errors import StoreError
from unspool.judging import Organiser, events_in
from unspool.pins import give, take_away
from unspool.store import KeptPin, Store

__all__ = ["cheap"]
pytestmark = pytest.mark.usefixtures("cheap")
GUEST, OTHER = "192.0.2.7", "192.0.2.8"
HOSTILE = '"><img src=x onerror=alert(1)>'


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper",)) as opened:
        yield opened


class Clock:
    now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def server(store: Store, clock: Clock) -> FastAPI:
    sharing = Sharing(Access(shared=True, clock=clock))
    return create_app(store, None, read_sample, sharing).server


def _client(server: FastAPI, address: str = GUEST) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(server, client=(address, 1))
    return httpx.AsyncClient(transport=transport, base_url="http://192.0.2.9")


async def _given(http: httpx.AsyncClient, name: str, pin: str, to: str = "") -> httpx.Response:
    return await http.post("/pin", data={"pin": pin, "name": name, "to": to})


def test_a_kept_pin_opens_its_role_until_it_is_taken_away(
    store: Store, server: FastAPI, clock: Clock
) -> None:
    cup = Organiser.make(store, "Ada", "Cup")
    say, entry = f"/contest/{cup.id}/say", str(cup.enter("Reed", "Sandpiper"))
    remark = {"act": "remark", "entry": entry, "attempt": "1", "remark": "Left the lane"}
    pin, hostile = give(store, "Ana", "judge", "Ada"), give(store, HOSTILE, "owner", "Ada")

    async def visit() -> None:
        async with _client(server) as ana, _client(server, OTHER) as owner:
            assert (await _given(ana, "", pin)).status_code == 403
            assert (await _given(ana, " aNa", f"{pin[:4]} {pin[4:]}")).status_code == 303
            assert (await ana.post(say, json=remark | {"who": "Ana B."})).status_code == 200
            assert (await ana.post(say, json={"act": "draw"})).status_code == 409
            assert (await ana.post("/contest/new", json={"name": "x"})).status_code == 403
            assert (await ana.post("/share/end")).status_code == 403
            assert (await _given(owner, HOSTILE, hostile)).status_code == 303
            assert (await owner.post(say, json={"act": "draw"})).status_code == 200
            take_away(store, "Ana")
            clock.now += FRESH_S
            assert (await ana.post(say, json=remark)).status_code == 403
            give(store, "Ana", "judge", "Ada")
            clock.now += FRESH_S
            assert (await ana.post(say, json=remark)).status_code == 403

    asyncio.run(visit())
    remarked, drawn = events_in(store, "1")[-2:]
    assert remarked.who == f"Ana (with the PIN of judge Ana, from {GUEST})"
    assert drawn.who == f"{HOSTILE} (with the PIN of owner {HOSTILE}, from {OTHER})"


def test_one_guests_wrong_pins_keep_nobody_else_out(store: Store, server: FastAPI) -> None:
    pin = give(store, "Ana", "judge", "Ada")

    async def visit() -> None:
        async with _client(server) as guest, _client(server, OTHER) as ana:
            for _ in range(FREE_TRIES):
                assert (await _given(guest, "Ana", "00000000")).status_code in (403, 429)
            assert (await _given(guest, "Ana", pin)).status_code == 429
            assert (await _given(ana, "Ana", pin)).status_code == 303

    asyncio.run(visit())


def test_many_tries_at_once_are_no_cheaper(clock: Clock) -> None:
    throttle, begun = Throttle(clock), [False] * 40
    start = Event()

    def one(at: int) -> None:
        start.wait()
        begun[at] = throttle.begin(GUEST)

    threads = [Thread(target=one, args=(at,)) for at in range(len(begun))]
    for thread in threads:
        thread.start()
    start.set()
    for thread in threads:
        thread.join()
    assert sum(begun) == FREE_TRIES
    throttle.was_right(GUEST, forget=False)
    throttle.was_right(GUEST, forget=True)
    assert throttle.wait_s(GUEST) == 0.0


def test_while_the_store_is_away_what_was_known_holds(store: Store, clock: Clock) -> None:
    give(store, "Ana", "judge", "Ada")
    answers: list[list[KeptPin] | StoreError] = [store.pins.listed(), StoreError("away"), []]

    def read() -> list[KeptPin]:
        answer = answers.pop(0)
        if isinstance(answer, StoreError):
            raise answer
        return answer

    kept = KeptPins(read, clock)
    (ana,) = kept.now()
    for after_s, holds in ((FRESH_S, True), (FRESH_S, True), (AWAY_S, False)):
        clock.now += after_s
        kept.now()
        assert kept.knows(ana) is holds
    assert answers == []
    assert not kept.knows(replace(ana, role="owner"))


def test_a_role_of_a_newer_version_opens_nothing(store: Store) -> None:
    give(store, "Ana", "judge", "Ada", "40718283")
    access = Access(shared=True)
    access.use_kept(lambda: [replace(one, role="umpire") for one in store.pins.listed()])
    assert access.try_pin("40718283", GUEST, "Ana") is None


@pytest.mark.parametrize(
    ("to", "leads"),
    [
        ("/contest/1/judge?entry=2", "/contest/1/judge?entry=2"),
        *(
            (away, "/")
            for away in ("", "//evil.example/", "/\\evil.example", "https://evil.example")
        ),
        *(
            (away, "/")
            for away in ("javascript:alert(1)", "/a\r\nSet-Cookie: x=1", "/\t/evil", "/é")
        ),
        *((away, "/") for away in ("/pin", "/pin?x=1", "contest", "/" + "a" * 2000)),
    ],
)
def test_the_pin_leads_back_to_pages_of_ours_alone(to: str, leads: str) -> None:
    assert own_page(to) == leads


def test_the_pin_leads_back_to_where_it_was_asked_for(store: Store, server: FastAPI) -> None:
    give(store, "Ana", "judge", "Ada", "40718283")

    async def visit() -> None:
        async with _client(server) as ana:
            here = {"referer": "http://192.0.2.9/contest/1/judge?entry=%22&attempt=2"}
            asked = await ana.get("/pin", headers=here)
            assert 'name="to" value="/contest/1/judge?entry=%22&amp;attempt=2"' in asked.text
            for before in ("http://evil.example/x", "http://[", "http://192.0.2.9/pin"):
                asked = await ana.get("/pin", headers={"referer": before})
                assert 'name="to" value="/"' in asked.text
            wrong = await _given(ana, HOSTILE, "x", '/contest/1"><script>')
            assert "<script>" not in wrong.text
            assert "<img" not in wrong.text
            right = await _given(ana, "Ana", "40718283", "/contest/1/judge?entry=1")
            assert right.headers["location"] == "/contest/1/judge?entry=1"

    asyncio.run(visit())
