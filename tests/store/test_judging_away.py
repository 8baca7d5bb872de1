"""A judge works on while the database goes away and returns: nothing is lost or doubled."""

from __future__ import annotations

import asyncio
import json

import httpx

from database_server import DatabaseServer
from unspool.app import LiveBoards, create_app
from unspool.app.routes import page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.judging import Organiser, contest_in, events_in
from unspool.store import Store

HOME = "http://127.0.0.1:8437"


def test_a_judge_whose_database_goes_away_and_returns(server: DatabaseServer) -> None:
    with server.fresh() as place, Store.open(place) as store:
        entry = Organiser.make(store, "Ada", "Cup").enter("Reed", "Sandpiper")
        app, studies = create_app(store).server, Studies(RunCache(store))
        tape = {"act": "tape", "entry": str(entry), "attempt": "1", "metres": "12,5", "seen": "0"}

        async def say(sent: dict[str, str]) -> httpx.Response:
            transport = httpx.ASGITransport(app, client=("127.0.0.1", 1))
            async with httpx.AsyncClient(transport=transport, base_url=HOME) as http:
                return await http.post("/contest/1/say", content=json.dumps(sent))

        assert asyncio.run(say({"act": "next"})).status_code == 200
        server.stop()
        try:
            refused = asyncio.run(say(tape))
            pages = [
                str(page_for(path, "", studies, LiveBoards()).body)
                for path in ("/contest", "/contest/1", "/contest/1/judge", "/contest/1/board")
            ]
        finally:
            server.start()
        assert (refused.status_code, "does not answer" in refused.json()["text"]) == (500, True)
        assert all("does not answer" in page for page in pages)
        seen = contest_in(store, "1").entries[entry].attempts[1].revision
        assert asyncio.run(say(tape | {"seen": str(seen)})).status_code == 200
        assert contest_in(store, "1").entries[entry].attempts[1].tape_m == 12.5
        kinds = [event.kind for event in events_in(store, "1")]
        assert kinds[-2:] == ["called", "tape"]
