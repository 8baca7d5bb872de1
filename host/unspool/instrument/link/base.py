"""Link: a way to a board, as bytes. What the bytes mean is the wire package's business."""

from __future__ import annotations

from abc import ABC, abstractmethod

from unspool.errors import LinkError
from unspool.language import Phrase


class LinkEndedError(LinkError):
    """The link has given all it will ever give; opening it again brings nothing new."""


def place_of(spec: str) -> str:
    """What people call the link of that name: its port, its radio, its file. May be a Phrase."""
    kind, _, rest = spec.partition(":")
    if kind == "ble":
        return Phrase("the radio {name}", name=rest)
    return rest if kind in ("serial", "replay") else Phrase("the virtual board")


class Link(ABC):
    """One way to one board. All methods raise LinkError with a sentence for the user.

    A link may be opened again after it failed. `spec` names it in the store.
    `lasting` is True if the same spec leads to the same board tomorrow. `pace` is how many of
    the board's seconds pass in one of ours: not 1 for a virtual board that is sped up only. `rate`
    is how many bytes a second it carries from the board; None: as many as the line.
    """

    spec: str
    lasting = False
    pace = 1.0
    rate: int | None = None

    @property
    def place(self) -> str:
        """What people call it."""
        return place_of(self.spec)

    @abstractmethod
    def open(self) -> None:
        """Connects. Raises LinkError when that is not possible now."""

    @abstractmethod
    def read(self, timeout_s: float) -> bytes:
        """What has arrived, waiting up to timeout_s for the first byte; empty when none came.

        Raises LinkError when the link is gone, LinkEndedError when it is at its end.
        """

    @abstractmethod
    def write(self, data: bytes) -> None:
        """Hands all of data to the link. Raises LinkError when the link is gone."""

    @abstractmethod
    def close(self) -> None:
        """Lets go of the link; never fails, and closing twice does nothing."""

    def give_up(self) -> None:  # noqa: B027 - most links open at once, or not at all
        """Makes `open` fail soon, now and until the link is closed; from any thread."""
