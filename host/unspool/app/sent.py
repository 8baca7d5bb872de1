"""What a script of ours sends to be done, texts by name, and what it is answered.

An answer's `text` says what was done, or why not.
"""

from __future__ import annotations

import json
from collections.abc import Callable

from unspool.errors import InputError, UnspoolError
from unspool.language import _
from unspool.render.words.values import as_sentence

Sent = dict[str, str]


def answered(do: Callable[[Sent], Sent], body: bytes, longest_bytes: int) -> tuple[Sent, int]:
    """The answer with its status. 409: the one who asks can mend it; 500: the store failed."""
    try:
        return do(_texts(body, longest_bytes)), 200
    except InputError as error:
        return {"text": as_sentence(str(error))}, 409
    except UnspoolError as error:
        return {"text": as_sentence(str(error))}, 500


def _texts(body: bytes, longest_bytes: int) -> Sent:
    """Raises InputError for anything else."""
    try:
        sent = json.loads(body) if len(body) <= longest_bytes else None
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict) or not all(isinstance(one, str) for one in sent.values()):
        raise InputError(_("that is nothing that a page of unspool sends"))
    return sent
