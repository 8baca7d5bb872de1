"""Who may do what: the page is made of the table, and gives PINs at this computer alone."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from app_parts import filled_store, read_sample
from cheap_pins import cheap
from unspool.app import Access, Sharing, create_app
from unspool.app.access import COOKIE
from unspool.app.pages.who import who_page
from unspool.app.permissions import client, may_change, rights
from unspool.app.rights import ACTS, CALLBACKS, PARTS, ROUTES, Part, Right
from unspool.pins import give, opened_by
from unspool.store import Store

__all__ = ["cheap"]
pytestmark = pytest.mark.usefixtures("cheap")
GUEST, HERE = "192.0.2.7", "127.0.0.1"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper",)) as opened:
        yield opened


def _page(store: Store, who: str, held: frozenset[Right]) -> str:
    access = Access(shared=True)
    access.use_kept(store.pins.listed)
    tokens = (client.set(who), rights.set(held), may_change.set(Right.OWN in held))
    try:
        return str(who_page(access).body.to_plotly_json())
    finally:
        for var, token in zip((client, rights, may_change), tokens, strict=True):
            var.reset(token)  # type: ignore[arg-type]  # each its own


def test_each_address_stands_in_one_act_and_the_page_has_all_of_them(store: Store) -> None:
    counts = [
        sum(len(paths(act)) for act in ACTS)
        for paths in (
            lambda act: (*act.gets, *act.posts, *act.sockets),
            lambda act: act.callbacks,
            lambda act: act.parts,
        )
    ]
    assert counts == [len(ROUTES), len(CALLBACKS), len(PARTS)]
    assert set(PARTS) == set(Part)
    shown = _page(store, GUEST, frozenset())
    for act in ACTS:
        assert act.words in shown
        # what has no words is what nobody asks for
        assert act.words or act.right is Right.LOOK or not (act.gets or act.posts)


def test_names_are_for_owners_and_pins_for_nobody(store: Store) -> None:
    pin = give(store, "Ana", "judge", "Ada")
    owner = frozenset({Right.JUDGE, Right.STATION, Right.OWN})
    pages = {
        "guest": _page(store, GUEST, frozenset()),
        "judge": _page(store, GUEST, frozenset({Right.JUDGE})),
        "owner": _page(store, GUEST, owner),
        "here": _page(store, HERE, owner),
    }
    assert {who for who, page in pages.items() if "'Ana'" in page} == {"owner", "here"}
    assert {who for who, page in pages.items() if "Take away" in page} == {"here"}
    assert not any(pin in page for page in pages.values())


def test_pins_are_given_and_taken_away_at_this_computer(store: Store) -> None:
    sharing = Sharing(Access(shared=True))
    server = create_app(store, None, read_sample, sharing).server
    cookies = {COOKIE: sharing.access.let_in(Right.OWN)}
    give_, away = "/access/give", "/access/take-away"

    async def asked(address: str, *asks: tuple[str, object]) -> list[httpx.Response]:
        transport = httpx.ASGITransport(server, client=(address, 1))
        async with httpx.AsyncClient(
            transport=transport, base_url="http://127.0.0.1", cookies=cookies
        ) as http:
            return [await http.post(path, json=sent) for path, sent in asks]

    ana = {"name": "Ana", "role": "judge"}
    refused = asyncio.run(asked(GUEST, (give_, ana), (away, ana)))
    assert [one.status_code for one in refused] == [403, 403]
    (given,) = asyncio.run(asked(HERE, (give_, ana)))
    assert (given.status_code, given.headers["cache-control"]) == (200, "no-store")
    assert opened_by(store.pins.listed(), "Ana", given.json()["pin"]) is not None
    wrong = [ana, {"name": "x", "role": "king"}, {"name": "", "role": "judge"}, [], {"name": 1}]
    answers = asyncio.run(asked(HERE, *((give_, one) for one in wrong), (away, ana), (away, ana)))
    assert [one.status_code for one in answers] == [409] * 5 + [200, 409]
    assert store.pins.listed() == []
