"""What a contest's pages send: texts by name, with who sends them."""

from __future__ import annotations

from collections.abc import Callable

from unspool.app.permissions import asker, pin_name
from unspool.app.sent import Sent
from unspool.errors import InputError
from unspool.judging.log import LONGEST_TEXT
from unspool.language import _


def who(sent: Sent) -> str:
    """The name of the PIN, or that a judge gave on the page, with who the server knows it is."""
    given = pin_name.get() or " ".join(sent.get("who", "").split())[:LONGEST_TEXT]
    return f"{given} ({asker()})" if given else asker()


def number(sent: Sent, name: str) -> int:
    text = sent.get(name, "")
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise InputError(_("{field}: give a whole number", field=name))
    return int(text)


def done(do: Callable[[], object], text: str) -> str:
    """What to say of it."""
    do()
    return text
