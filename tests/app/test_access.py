"""Who may look on and who may change things."""

from __future__ import annotations

import asyncio
from pathlib import Path

import httpx
import pytest
from starlette.types import Scope

import sample_run
from app_parts import LINK_UP
from unspool.app import Access, LiveBoards, LiveState, Sharing, create_app
from unspool.app.access import COOKIE, COOKIE_S, OWNERS
from unspool.app.rights import Right
from unspool.app.throttle import FREE_TRIES, REMEMBERED
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.store import Store

GUEST, HERE = "192.0.2.7", "127.0.0.1"


class Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def _scope(client: str, cookie: str = "") -> Scope:
    headers = [(b"cookie", cookie.encode())] if cookie else []
    return {"type": "http", "client": (client, 5000), "headers": headers}


@pytest.mark.parametrize(
    ("host", "alone", "shared"),
    [
        ("127.0.0.1:8437", True, True),
        ("localhost", True, True),
        ("[::1]:8437", True, True),
        ("192.0.2.9:8437", False, True),
        ("elsewhere.example:8437", False, False),
        ("", False, False),
        ("[::1", False, False),
        ("[::1].evil.example", False, False),
        ("localhost:8437@evil.example", False, False),
        (None, False, False),
    ],
)
def test_only_names_of_this_computer_are_answered(
    host: str | None, alone: bool, shared: bool
) -> None:
    assert Access().is_own_name(host) is alone
    assert Access(shared=True).is_own_name(host) is shared


def test_a_guest_looks_on_until_the_pin_is_given() -> None:
    access = Access(shared=True)
    assert access.may_change(_scope(HERE))
    assert not access.may_change(_scope(GUEST))
    assert not access.may_change(_scope(GUEST, f"{COOKIE}=guessed"))
    token = access.try_pin(f" {access.pin} ", GUEST)
    assert access.may_change(_scope(GUEST, f"other=1; {COOKIE}={token}"))
    assert not Access(shared=True).may_change(_scope(GUEST, f"{COOKIE}={token}"))


def test_wrong_pins_make_that_client_wait_longer_each_time() -> None:
    clock = Clock()
    access = Access(shared=True, clock=clock)
    for _ in range(3):
        assert access.wait_s(GUEST) == 0.0
        assert access.try_pin("no", GUEST) is None
    assert access.wait_s(GUEST) == 2.0
    assert access.try_pin(access.pin, GUEST) is None  # too soon, even the right one
    assert access.try_pin(access.pin, "192.0.2.8") is not None  # another client does not wait
    clock.now += 2.0
    assert access.try_pin("no", GUEST) is None
    assert access.wait_s(GUEST) == 4.0
    for _ in range(10):
        clock.now += access.wait_s(GUEST)
        access.try_pin("no", GUEST)
    assert access.wait_s(GUEST) == 60.0
    clock.now += 60.0
    assert access.try_pin(access.pin, GUEST) is not None


def test_the_cookie_ends() -> None:
    clock = Clock()
    access = Access(shared=True, clock=clock)
    cookie = f"{COOKIE}={access.try_pin(access.pin, GUEST)}"
    assert access.may_change(_scope(GUEST, cookie))
    clock.now += COOKIE_S
    assert not access.may_change(_scope(GUEST, cookie))


def test_only_so_many_clients_are_remembered() -> None:
    access = Access(shared=True, clock=Clock())
    for i in range(REMEMBERED + 5):
        for _ in range(3):
            access.try_pin("no", f"client {i}")
    assert access.wait_s("client 0") == 0.0
    assert access.wait_s(f"client {REMEMBERED + 4}") > 0.0


@pytest.fixture
def marks() -> list[str]:
    return []


@pytest.fixture
def access() -> Access:
    return Access(shared=True)


def _client(app: object, address: str) -> httpx.AsyncClient:
    transport = httpx.ASGITransport(app=app, client=(address, 5000))
    return httpx.AsyncClient(transport=transport, base_url="http://192.0.2.9:8437")


@pytest.fixture
def server(tmp_path: Path, marks: list[str], access: Access) -> object:
    live = LiveState(sample_run.sample_car())
    live.use_marks(lambda: marks.append("marked"))
    live(LINK_UP)
    live(PhaseChanged(Phase.WINDING, 1.0))
    lives, sharing = LiveBoards([live]), Sharing(access)
    return create_app(Store.open(tmp_path / "runs.sqlite"), lives, sharing=sharing).server


async def _mark(client: httpx.AsyncClient) -> int:
    return (await client.post("/track/next-tier")).status_code


def test_marking_a_tier_needs_the_pin(server: object, marks: list[str], access: Access) -> None:
    async def visit() -> None:
        async with _client(server, GUEST) as guest:
            assert await _mark(guest) == 403
            assert (await guest.get("/pin")).status_code == 200
            assert (await guest.post("/pin", data={"pin": "x"})).status_code == 403
            assert marks == []
            welcome = await guest.post("/pin", data={"pin": access.pin})
            assert welcome.status_code == 303
            cookie = welcome.headers["set-cookie"].lower()
            assert "httponly" in cookie
            assert "samesite=strict" in cookie
            assert await _mark(guest) == 200
        async with _client(server, HERE) as builder:
            assert await _mark(builder) == 200
        async with _client(server, GUEST) as guest:
            guest.base_url = "http://elsewhere.example"
            assert (await guest.get("/assets/unspool.css")).status_code == 403

    asyncio.run(visit())
    assert marks == ["marked", "marked"]


def test_each_pin_gives_its_right_and_no_other() -> None:
    access = Access(shared=True)
    assert len(set(access.pins.values())) == 3
    for right in (Right.JUDGE, Right.STATION):
        token = access.try_pin(access.pins[right], GUEST)
        assert access.rights(_scope(GUEST, f"{COOKIE}={token}")) == {right}
    token = access.try_pin(access.pin, GUEST)
    assert access.rights(_scope(GUEST, f"{COOKIE}={token}")) == OWNERS
    assert access.rights(_scope(GUEST)) == frozenset()


def test_a_judges_pin_makes_guesses_of_the_owners_no_cheaper() -> None:
    access = Access(shared=True, clock=Clock())
    for _ in range(FREE_TRIES):
        assert access.try_pin(access.pins[Right.JUDGE], GUEST) is not None
        assert access.try_pin("x", GUEST) is None
    assert access.wait_s(GUEST) > 0.0
