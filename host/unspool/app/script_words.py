"""The messages of our scripts, for a browser that reads another language than English.

A page names the file before its scripts; assets/words.js looks messages up in it.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from babel.messages.extract import extract_from_dir
from fastapi import FastAPI
from fastapi.responses import PlainTextResponse, Response

from unspool.app.own_files import ASSETS, content_hash
from unspool.app.workers import in_worker
from unspool.language import ENGLISH, LANGUAGES, decimal_sign, plurals, single_messages
from unspool.render.html import saving

PATH = "/words/{code}.js"
PICTURES = Path(saving.__file__).parent  # its save.js is a page's, too


def serve_words(server: FastAPI) -> None:
    async def answer(code: str) -> Response:
        if code not in LANGUAGES or code == ENGLISH:
            return PlainTextResponse("No such language.\n", 404)
        return Response(await in_worker(lambda: script_words(code)), media_type="text/javascript")

    server.add_api_route(PATH, answer, methods=["GET"])


def words_address(code: str) -> str:
    return f"{PATH.format(code=code)}?{content_hash(script_words(code).encode())}"


@cache
def script_words(code: str) -> str:
    """The script that holds the messages."""
    singles, counted = single_messages(code), plurals(code)
    words = {
        "decimal": decimal_sign(code),
        "messages": {one: singles[one] for one in _said() if isinstance(one, str)},
        "counted": {one[0]: counted[one[0]] for one in _said() if isinstance(one, tuple)},
    }
    return f"window.unspoolWords = {json.dumps(words, ensure_ascii=False)};\n"


@cache
def _said() -> tuple[str | tuple[str, ...], ...]:
    """Every message of the scripts, in English."""
    own = [("*.js", "javascript")]
    keywords = {"_": None, "many": (1, 2)}
    rows = [
        row
        for folder in (ASSETS, PICTURES)
        for row in extract_from_dir(
            folder, own, keywords=keywords, directory_filter=lambda _path: False
        )
    ]
    return tuple(dict.fromkeys(message for _file, _line, message, _notes, _context in rows))
