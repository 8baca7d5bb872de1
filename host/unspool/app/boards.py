"""Boards: the boards that a page offers, by cable, by radio and of the demo."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from threading import Lock, Thread

from unspool.errors import InputError, LinkError
from unspool.instrument.link import (
    BlePeripheral,
    Link,
    cable_link,
    list_ble,
    list_ports,
    radio_link,
)
from unspool.instrument.link.ble_address import ble_address
from unspool.language import _, later
from unspool.render.words.board import signal_words
from unspool.render.words.values import joined

CABLE, RADIO = "cable:", "radio:"
SERIAL = "serial:"  # how the spec of a link by cable begins
_SIGNALS = {
    "strong": later("by radio, strong signal ({dbm} dBm)"),
    "fair": later("by radio, fair signal ({dbm} dBm)"),
    "weak": later("by radio, weak signal ({dbm} dBm)"),
}


@dataclass(frozen=True)
class BoardChoice:
    """key: what `link` takes. note: what kind of way it is, and how well a radio is heard."""

    key: str
    label: str
    note: str
    likely: bool


@dataclass(frozen=True)
class OwnBoard:
    """A board that comes with the command, such as the demo's. label, note: messages in English."""

    label: str
    note: str
    link: Callable[[], Link]


def _by_radio(dbm: int) -> str:
    return _(_SIGNALS[signal_words(dbm)], dbm=dbm)


class Boards:
    """own: by key. Safe from several threads."""

    def __init__(self, own: Mapping[str, OwnBoard] | None = None) -> None:
        self._own = dict(own or {})
        self._lock = Lock()
        self._radios: list[BlePeripheral] = []
        self._looking: Thread | None = None
        self.fault = ""  # why no radio can be looked for, a Phrase if it can be

    @property
    def is_looking(self) -> bool:
        return self._looking is not None and self._looking.is_alive()

    def choices(self) -> list[BoardChoice]:
        own = [BoardChoice(key, _(one.label), _(one.note), True) for key, one in self._own.items()]
        cables = [
            BoardChoice(
                CABLE + one.device, one.device, joined(_("by cable."), one.description), one.likely
            )
            for one in list_ports()
        ]
        radios = [
            BoardChoice(
                RADIO + one.wanted,
                one.name or one.address,
                _by_radio(one.signal_dbm),
                one.likely,
            )
            for one in self._radios
        ]
        return [*own, *cables, *radios]

    def look_by_radio(self) -> None:
        """Looks for radio modules for some seconds, in a thread of its own."""
        with self._lock:
            if not self.is_looking:
                self._looking = Thread(target=self._look, name="radio", daemon=True)
                self._looking.start()

    def _look(self) -> None:
        try:
            self._radios, self.fault = list_ble(), ""
        except LinkError as error:
            self._radios, self.fault = [], error.sentence

    def spec(self, key: str) -> str:
        """The name of the link that `link` gives. Raises as that does."""
        return self.link(key).spec

    def link(self, key: str) -> Link:
        """The way to a board, not yet opened. Raises InputError for a key that is none."""
        if key in self._own:
            return self._own[key].link()
        if key.startswith(CABLE) and key != CABLE:
            return cable_link(key.removeprefix(CABLE))
        if key.startswith(RADIO) and key != RADIO:
            return radio_link(ble_address(key.removeprefix(RADIO)))
        raise InputError(_("choose a board first"))


def moved_key(key: str, link: Link) -> str:
    """What `link` takes for this one, whose port may have another name since then."""
    return CABLE + link.spec.removeprefix(SERIAL) if key.startswith(CABLE) else key
