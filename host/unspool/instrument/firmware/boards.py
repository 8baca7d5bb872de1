"""The boards that unspool has firmware for."""

from __future__ import annotations

from dataclasses import dataclass, field

from unspool.language import later


@dataclass(frozen=True)
class BoardKind:
    """A board, its program and its boot loader: one behind a serial port, or a drive.

    - name: as in firmware/boards/, and as its firmware calls itself. chip: in words, a message.
    - baud: of the port, as its firmware talks.
    - programmer: what its boot loader speaks, in avrdude's word.
    - loader_bauds: the boot loader's rates, the usual one first.
    - parts: the chips that take the image, by their signature, in avrdude's words.
    - drive: what its boot loader's drive calls itself.
    """

    name: str
    chip: str
    baud: int
    programmer: str = ""
    loader_bauds: tuple[int, ...] = ()
    parts: dict[int, str] = field(default_factory=dict)
    drive: str = ""

    @property
    def image_suffix(self) -> str:
        return ".uf2" if self.drive else ".hex"


_PARTS_328P = {0x1E950F: "atmega328p", 0x1E9516: "atmega328pb"}
ATMEGA328P = BoardKind(
    "atmega328p", later("ATmega328P at 16 MHz"), 115_200, "arduino", (115_200, 57_600), _PARTS_328P
)
ATMEGA328P_8MHZ = BoardKind(
    "atmega328p-8mhz", later("ATmega328P at 8 MHz"), 57_600, "arduino", (57_600,), _PARTS_328P
)
ATMEGA2560 = BoardKind(
    "atmega2560", "ATmega2560", 115_200, "wiring", (115_200,), {0x1E9801: "atmega2560"}
)
RP2040 = BoardKind("rp2040", "RP2040", 115_200, drive="RPI-RP2")
BOARDS = {one.name: one for one in (ATMEGA328P, ATMEGA328P_8MHZ, ATMEGA2560, RP2040)}


def kind_of(firmware: str, rate: int) -> BoardKind | None:
    """The board that says in its hello, at this rate, that it runs this firmware."""
    kind = BOARDS.get(firmware.partition(" ")[0])
    return with_clock(kind, rate) if kind else None


def with_clock(kind: BoardKind, rate: int) -> BoardKind:
    """The board with the same chip whose own firmware would talk at this rate.

    An image for the other clock runs on it too, with its times and its rate off by a factor of two.
    """
    same = [one for one in BOARDS.values() if one.parts is kind.parts]
    return next((one for one in same if one.baud == rate), kind)
