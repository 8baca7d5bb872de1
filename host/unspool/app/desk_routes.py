"""What the forms of cars and floors send: drafts as one types, versions to keep, files."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.desk import CARS, FLOORS, NEW_TABLES, Desk, no_version
from unspool.app.downloads import attachment, or_error
from unspool.app.drafts import Draft, Drafts
from unspool.app.merging import merged
from unspool.app.permissions import asker
from unspool.app.query import parse_query
from unspool.app.refusals import NOT_SAVED, or_refused, refused
from unspool.car.editing import with_table, without_table
from unspool.car.toml_source import LARGEST_FILE_BYTES, decoded
from unspool.errors import ChangedMeanwhileError, InputError
from unspool.language import _
from unspool.store import Shelf, Shelved, Store
from unspool.versions import save_car, save_track

Sent = dict[str, Any]


def serve_desks(server: FastAPI, store: Store, drafts: Drafts) -> None:
    """Adds the addresses below /cars and /floors. The guard keeps guests from what changes things.

    Each takes JSON. `text` is the file as it was shown, `fields` what was typed into it, by paths.
    """
    for desk, shelf in ((CARS, store.cars), (FLOORS, store.tracks)):
        _Routes(desk, shelf, store, drafts).add_to(server)


class _Routes:
    def __init__(self, desk: Desk, shelf: Shelf, store: Store, drafts: Drafts) -> None:
        self._desk, self._shelf, self._store, self._drafts = desk, shelf, store, drafts

    def add_to(self, server: FastAPI) -> None:
        calls = {"draft": self.draft, "shape": self.shape, "save": self.save}
        for name, call in {**calls, "choose": self.choose, "put-away": self.put_away}.items():
            server.add_api_route(f"{self._desk.path}:{name}", _posted(call), methods=["POST"])
        server.add_api_route(f"{self._desk.path}:file", self.bring, methods=["POST"])
        server.add_api_route(f"{self._desk.path}:version", self.version, methods=["GET"])

    def draft(self, sent: Sent, _who: str) -> Response:
        """What the form shows of what was typed so far."""
        return JSONResponse(asdict(self._desk.shown(self._typed(sent))))

    def shape(self, sent: Sent, _who: str) -> Response:
        """One more table of a list, or one less: the address of the form with it."""
        text = self._typed(sent)
        section = sent.get("section")
        if section not in NEW_TABLES:
            raise InputError(_("that is no form that a page of unspool sends"))
        number = sent.get("remove")
        if type(number) is int:
            text = without_table(text, section, number)
        else:
            text = with_table(text, section, self._desk.one_more(text, section))
        name = self._drafts.put(Draft(sent["base"], text, sent["seen"]))
        return JSONResponse({"address": f"{sent['page']}?draft={name}#{section}"})

    def save(self, sent: Sent, who: str) -> Response:
        text = self._typed(sent)
        shown = self._desk.shown(text)
        if shown.faults:
            return JSONResponse(asdict(shown), 409)
        try:
            kept = self._keep(text, who, sent["seen"])
        except ChangedMeanwhileError as error:
            return self._changed(sent, text, error)
        return self._done(kept)

    def choose(self, sent: Sent, who: str) -> Response:
        return self._done(self._shelf.choose(sent["name"], sent["version"], who))

    def put_away(self, sent: Sent, who: str) -> Response:
        self._shelf.put_away(sent["name"], who)
        return JSONResponse({"address": CARS.path, "text": _("Put away.")})

    async def bring(self, request: Request) -> Response:
        """A file as the current version of the car or floor that it names."""
        data, who = await request.body(), asker()

        def keep() -> Response:
            name = request.query_params.get("name", _("the file"))[:80]
            return self._done(self._keep(_text(data, name), who, None, name))

        return await or_refused(keep, NOT_SAVED)

    async def version(self, request: Request) -> Response:
        """A version as the file that it is; without a number, the current one."""
        query = parse_query(request.url.query)

        def make() -> Response:
            thing, number = self._shelf.one(query.text("name")), query.number("version")
            found = thing.current if number is None else thing.version(int(number))
            if found is None:
                raise InputError(no_version(self._desk, thing.name, f"{number:g}"))
            return attachment(found.text.encode(), self._desk.file_name(found), "application/toml")

        return await or_error(make)

    def _keep(self, text: str, who: str, seen: int | None, source: str = "") -> Shelved:
        save = save_car if self._desk is CARS else save_track
        return save(self._store, text, who, seen, source or self._desk.source())

    def _typed(self, sent: Sent) -> str:
        if not isinstance(sent.get("text"), str) or not isinstance(sent.get("fields"), dict):
            raise InputError(_("that is no form that a page of unspool sends"))
        if len(sent["text"].encode()) > LARGEST_FILE_BYTES:
            raise InputError(_(self._desk.words.too_large))
        return self._desk.typed(sent["text"], sent["fields"])

    def _done(self, kept: Shelved) -> Response:
        text = _("Saved as version {number}.", number=kept.current.number)
        return JSONResponse({"address": self._desk.address(kept.name), "text": text})

    def _changed(self, sent: Sent, mine: str, why: ChangedMeanwhileError) -> Response:
        """What the other one changed, and a draft that has both changes."""
        try:
            theirs = self._shelf.one(self._desk.name_of(mine))
        except InputError:
            return refused(why, NOT_SAVED)
        if sent["seen"] == 0:  # a new one of a name that is there
            return refused(why, NOT_SAVED)
        both = merged(sent["base"], mine, theirs.current.text, self._desk.fields)
        draft = self._drafts.put(Draft(theirs.current.text, both.text, theirs.revision))
        page = f"{self._desk.address(theirs.name)}?draft={draft}"
        return JSONResponse({"text": both.words(theirs.current), "merged": page}, 409)


def _posted(call: Callable[[Sent, str], Response]) -> Callable[[Request], Any]:
    async def answer(request: Request) -> Response:
        body, who = await request.body(), asker()

        def make() -> Response:
            try:
                sent = json.loads(body)
                return call(sent if isinstance(sent, dict) else {}, who)
            except (ValueError, KeyError, TypeError, RecursionError):
                raise InputError(_("that is no form that a page of unspool sends")) from None

        return await or_refused(make, NOT_SAVED)

    return answer


def _text(data: bytes, name: str) -> str:
    if len(data) > LARGEST_FILE_BYTES:
        raise InputError(
            _("{name}: is larger than a car or track file can be; give another file", name=name)
        )
    return decoded(data, name)
