"""What to say of a chip that no firmware of unspool is for.

Signatures are those of the datasheets.
"""

from __future__ import annotations

from unspool.instrument.firmware.boards import BOARDS, BoardKind

_OTHERS = {
    0x1E9406: ("ATmega168", "it has half the memory that the firmware takes"),
    0x1E940B: ("ATmega168P", "it has half the memory that the firmware takes"),
    0x1E9307: ("ATmega8", "it has a quarter of the flash that the firmware takes"),
    0x1E9514: ("ATmega328 without a P", "the firmware was never tried on it"),
    0x1E9587: ("ATmega32U4", "it has its USB port in the chip, which needs another firmware"),
    0x1E9703: ("ATmega1280", "the firmware was never tried on it"),
    0x1E9651: ("ATmega4809", "its timers are of another kind, which need another firmware"),
}


def refusal(signature: int, port: str, kind: BoardKind | None) -> str:
    """Why nothing is written. kind: the board that somebody said or that answered, if any."""
    for one in BOARDS.values():
        if kind is not None and signature in one.parts:
            return (
                f"the chip on {port} is that of {one.name}, not of {kind.name}, so nothing was"
                " written: leave out --board, or check the port"
            )
    served = ", ".join(one.chip for one in BOARDS.values())
    chip, why = _OTHERS.get(
        signature, (f"unknown one (signature {signature:06x})", "the firmware is for other chips")
    )
    article = "an" if chip[0] in "Au" else "a"
    return (
        f"the chip on {port} is {article} {chip}, so nothing was written: {why}; unspool has"
        f" firmware for {served}"
    )
