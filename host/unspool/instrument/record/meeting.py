"""Meeting: which board is at the other end of a link. It ends with the board's hello.

What arrives meanwhile is held and not acknowledged, so a recorder that ends here loses nothing.
"""

from __future__ import annotations

from dataclasses import replace

from unspool.instrument.strangers import QUESTION, Stranger, StrangerWatch
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.decoded import BoardHello
from unspool.instrument.wire.sieve import SAMPLE_BYTES, from_hello
from unspool.store import Chunk

NUMBER_S = 3.0  # for a board without a number to take one; it needs some milliseconds
QUESTION_S = 3.5  # without a hello for so long, a stranger is asked who it is
SILENT_S = 5.0  # and then it may be no board


class Meeting:
    """wants_number: the board is to be found again, so it is given a number if it has none.

    held: what came with its hello and after it. unread: the first frames that came before one.
    """

    def __init__(self, wants_number: bool) -> None:
        self.conversation = Conversation()
        self.held: list[Chunk] = []
        self.unread = b""
        self._wants_number = wants_number
        self._hello: BoardHello | None = None
        self._since = 0.0
        self.opened(0.0)

    def opened(self, now: float) -> None:
        """The link is open, from now on."""
        self._others, self._opened_at = StrangerWatch(), now
        self._asked = self._named = False

    def overhears(self, data: bytes, reply: bytes, now: float) -> bytes:
        """What to send: the reply to what came, and the question who it is if it is no board."""
        if not self._asked and now - self._opened_at > QUESTION_S:
            self._asked = True
            reply += QUESTION
        self._others.heard(data)
        self._others.sent(reply)
        return reply

    def stranger(self, now: float) -> Stranger | None:
        """Who is there in place of a board; said once for each opening of the link."""
        if self._named or now - self._opened_at <= SILENT_S:
            return None
        self._named = True
        return self._others.who

    def feed(self, chunk: Chunk, now: float) -> BoardHello | None:
        """The hello of the board, once it is known which one it is. `now` in seconds."""
        heard = self.conversation.receive(chunk.data)
        self.held.append(chunk)
        for item in heard:
            if isinstance(item, BoardHello):
                self._greet(item, chunk, now)
        if self._hello is None:
            self.held.clear()
            self.unread = (self.unread + chunk.data)[:SAMPLE_BYTES]
            return None
        waited = now - self._since > NUMBER_S
        return self._hello if self._hello.identity or waited or not self._wants_number else None

    def _greet(self, hello: BoardHello, chunk: Chunk, now: float) -> None:
        before, self._hello = self._hello, hello
        if before and before.boot == hello.boot and before.identity in (0, hello.identity):
            return  # the same board, which got a number or a setting
        self._since = now
        self.held = [replace(chunk, data=from_hello(chunk.data, hello.identity, hello.boot))]
