"""The messages of our scripts, for a browser that reads another language than English.

A page names the file before its scripts; assets/words.js looks messages up in it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from fastapi import FastAPI
from fastapi.responses import PlainTextResponse, Response

from unspool.app.own_files import ASSETS, SCRIPTS, content_hash
from unspool.app.workers import in_worker
from unspool.language import ENGLISH, LANGUAGES, decimal_sign, plurals, single_messages
from unspool.render.html import saving

PATH = "/words/{code}.js"
Message = str | tuple[str, str]  # a message, or the two forms of a count of things
_LITERAL = r'"(?:[^"\\\n]|\\.)*"'
_TEXT = rf"({_LITERAL}(?:\s*\+\s*{_LITERAL})*)"
_CALL = re.compile(rf"(?<![\w.$])(?:_\(\s*{_TEXT}|many\(\s*{_TEXT}\s*,\s*{_TEXT})")
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
        "messages": {
            one: singles[one] for one in _said() if isinstance(one, str) and one in singles
        },
        "counted": {one[0]: counted[one[0]] for one in _said() if one[0] in counted},
    }
    return f"window.unspoolWords = {json.dumps(words, ensure_ascii=False)};\n"


@cache
def _said() -> tuple[Message, ...]:
    """Every message of the scripts."""
    files = (*(ASSETS / name for name in SCRIPTS), *PICTURES.glob("*.js"))
    found = (one for file in files for _line, one in script_messages(file.read_text("utf-8")))
    return tuple(dict.fromkeys(found))


def script_messages(script: str) -> Iterator[tuple[int, Message]]:
    """The line and the English text of each call of `_` or `many` with literals.

    They are found within template literals too, which babel's extractor passes over.
    """
    for call in _CALL.finditer(script):
        line = script.count("\n", 0, call.start()) + 1
        yield line, _text(call[1]) if call[1] else (_text(call[2]), _text(call[3]))


def _text(literals: str) -> str:
    return "".join(json.loads(one) for one in re.findall(_LITERAL, literals))
