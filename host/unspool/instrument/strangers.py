"""What is at the other end of a link if it is no board: by what came, and by what it was sent.

Modems and phones answer the question that such devices have answered for decades, in the form of
ITU-T V.250. To a board the question is noise on the line.
"""

from __future__ import annotations

import re
from enum import StrEnum

from unspool.language import Phrase, later

QUESTION = b"\0AT\r"
_KEPT = 4096  # bytes of each direction
_ANSWER = re.compile(rb"(?:^|[\r\n])(?:OK|ERROR|RING|NO CARRIER|\+CM[ES] ERROR[^\r\n]*)[\r\n]")
_ECHOED = 6  # bytes of what was sent, one after the other; noise does not repeat as many
_TEXT_SHARE = 0.95
_PRINTED = frozenset(b"\t\r\n" + bytes(range(0x20, 0x7F)))


class Stranger(StrEnum):
    """Who may be there. The value stands in JSON."""

    NOTHING = "nothing"
    MODEM = "modem"
    ECHO = "echo"
    TEXT = "text"
    NOISE = "noise"


NO_BOARD_AT_ALL = frozenset({Stranger.MODEM, Stranger.ECHO})


def sentence_of(who: Stranger, place: str) -> Phrase:
    """What it is and what to do, without the first capital and the full stop."""
    return Phrase(_SENTENCES[who], place=place)


_SENTENCES = {
    Stranger.NOTHING: later(
        "nothing on {place} speaks as a board of unspool does: "
        "nothing comes at all. Check that the board is powered, that the cable carries data, and"
        " that this is its port, or put the firmware on it with `unspool flash`"
    ),
    Stranger.MODEM: later(
        "nothing on {place} speaks as a board of unspool does: "
        "a modem or a phone answers there. Choose another port, of those that `unspool links` lists"
    ),
    Stranger.ECHO: later(
        "nothing on {place} speaks as a board of unspool does: "
        "it sends back what it is sent. Check that the board is plugged in, and that its two data"
        " wires do not touch"
    ),
    Stranger.TEXT: later(
        "nothing on {place} speaks as a board of unspool does: "
        "it prints text, so it runs another program. If it is your board, put the firmware on it"
        " with `unspool flash`"
    ),
    Stranger.NOISE: later(
        "nothing on {place} speaks as a board of unspool does: "
        "what comes makes no sense at any rate at which such boards talk. If it is your board, put"
        " the firmware on it with `unspool flash`; else check the port, plugs and cable"
    ),
}


class StrangerWatch:
    """Keeps what came from the other end and what was sent there, for the question who it is."""

    def __init__(self) -> None:
        self._heard, self._sent = bytearray(), bytearray()

    def heard(self, data: bytes) -> None:
        self._heard += data
        del self._heard[:-_KEPT]

    def sent(self, data: bytes) -> None:
        self._sent += data
        del self._sent[:-_KEPT]

    @property
    def who(self) -> Stranger:
        heard = bytes(self._heard)
        if not heard:
            return Stranger.NOTHING
        if _ANSWER.search(heard):
            return Stranger.MODEM
        if self._is_echo(heard):
            return Stranger.ECHO
        printed = sum(byte in _PRINTED for byte in heard)
        return Stranger.TEXT if printed >= _TEXT_SHARE * len(heard) else Stranger.NOISE

    def _is_echo(self, heard: bytes) -> bool:
        """Zeros are left out: some lines drop them."""
        sent = [piece for piece in bytes(self._sent).split(b"\0") if len(piece) >= _ECHOED]
        return any(piece in heard for piece in sent)
