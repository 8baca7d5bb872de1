"""What to say of a chip that no firmware of unspool is for.

Signatures are those of the datasheets.
"""

from __future__ import annotations

from unspool.instrument.firmware.boards import BOARDS, BoardKind
from unspool.language import Phrase, later

_OTHERS = {
    0x1E9406: ("ATmega168", later("it has half the memory that the firmware takes")),
    0x1E940B: ("ATmega168P", later("it has half the memory that the firmware takes")),
    0x1E9307: ("ATmega8", later("it has a quarter of the flash that the firmware takes")),
    0x1E9514: (later("ATmega328 without a P"), later("the firmware was never tried on it")),
    0x1E9587: (
        "ATmega32U4",
        later("it has its USB port in the chip, which needs another firmware"),
    ),
    0x1E9703: ("ATmega1280", later("the firmware was never tried on it")),
    0x1E9651: ("ATmega4809", later("its timers are of another kind, which need another firmware")),
}


def refusal(signature: int, port: str, kind: BoardKind | None) -> Phrase:
    """Why nothing is written. kind: the board that somebody said or that answered, if any."""
    for one in BOARDS.values():
        if kind is not None and signature in one.parts:
            return Phrase(
                "the chip on {port} is that of {found}, not of {named}, so nothing was written:"
                " leave out --board, or check the port",
                port=port,
                found=one.name,
                named=kind.name,
            )
    served = ", ".join(one.chip for one in BOARDS.values())
    if signature not in _OTHERS:
        return Phrase(
            "the chip on {port} is an unknown one (signature {signature}), so nothing was written:"
            " the firmware is for other chips; unspool has firmware for {served}",
            port=port,
            signature=format(signature, "06x"),
            served=served,
        )
    chip, why = _OTHERS[signature]
    return Phrase(
        "the chip on {port} is an {chip}, so nothing was written: {why}; unspool has firmware for"
        " {served}",
        port=port,
        chip=Phrase(chip),
        why=Phrase(why),
        served=served,
    )
