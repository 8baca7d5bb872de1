"""What PostgreSQL says when it fails, as one sentence that says whose fault it is and what to do.

The codes are https://www.postgresql.org/docs/current/errcodes-appendix.html; an entry of two
letters or digits stands for its whole class.
"""

from __future__ import annotations

from unspool.errors import StoreError, StoreWaitError
from unspool.language import Phrase, later
from unspool.store.place import Server

_GONE = later(
    "the store {place} does not answer ({said}); check the network, the server and the address;"
    " what was kept before is safe"
)
_BUSY = later(
    "the store {place} is busy with another program; try again, or look at what keeps it busy"
)
_FULL = later(
    "the server of the store {place} has no room or no connection left ({said}); ask the person who"
    " runs it; what was kept before is safe"
)
_READ_ONLY = later(
    "the store {place} may not be written by this user; ask the person who runs it for the right to"
    " write, or use --store for another"
)
_DAMAGED = later(
    "the store {place} is damaged ({said}); ask the person who runs it for a copy of before"
)
_OTHER = later("the store {place} cannot be used: {said}")

_PASSING = (_GONE, _BUSY, _FULL)
_SENTENCES = {
    "08": _GONE,
    "57P": _GONE,
    "55P03": _BUSY,
    "57014": _BUSY,
    "40": _BUSY,
    "53": _FULL,
    "42501": _READ_ONLY,
    "25006": _READ_ONLY,
    "XX": _DAMAGED,
}


def server_error(place: Server, error: BaseException) -> StoreError:
    """The sentence of an error of the driver; without a code the connection itself failed."""
    code = getattr(error, "sqlstate", None)
    begins = [str(code)[:length] for length in (5, 3, 2)] if code else []
    found = (_SENTENCES[part] for part in begins if part in _SENTENCES)
    sentence = next(found, _OTHER if code else _GONE)
    said = " ".join(str(error).split("\n", 1)[0].split()) or Phrase("it ended the connection")
    kind = StoreWaitError if sentence in _PASSING else StoreError
    return kind(Phrase(sentence, place=place, said=said))
