"""Makes the image that a Pico's drive takes out of the program's bytes.

    python3 image.py PROGRAM.bin IMAGE.uf2

The boot ROM starts what is in the first 256 bytes if the last four are the CRC-32 of the others:
polynomial 0x04C11DB7, start 0xFFFFFFFF, not reflected, no final XOR. A UF2 file cuts the flash into
pages of 256 bytes, each in a block of 512 that says where it belongs. Both are from memory.
"""

from __future__ import annotations

import struct
import sys
from pathlib import Path

LOADER_BYTES = 256
PAGE = 256
FLASH = 0x1000_0000
FAMILY = 0xE48B_FF56  # RP2040
FAMILY_GIVEN = 0x2000
BLOCK = struct.Struct("<8I476sI")
MAGICS = 0x0A32_4655, 0x9E5D_5157, 0x0AB1_6F30


def crc32(data: bytes) -> int:
    crc = 0xFFFF_FFFF
    for byte in data:
        crc ^= byte << 24
        for _ in range(8):
            crc = (crc << 1 ^ (0x04C1_1DB7 if crc & 0x8000_0000 else 0)) & 0xFFFF_FFFF
    return crc


def with_crc(program: bytes) -> bytes:
    loader = program[: LOADER_BYTES - 4]
    if any(program[len(loader) : LOADER_BYTES]):
        raise SystemExit("the second-stage boot loader leaves no room for its CRC")
    return loader + struct.pack("<I", crc32(loader)) + program[LOADER_BYTES:]


def uf2(program: bytes) -> bytes:
    pages = [program[at : at + PAGE].ljust(PAGE, b"\0") for at in range(0, len(program), PAGE)]
    first, second, last = MAGICS
    return b"".join(
        BLOCK.pack(
            *(first, second, FAMILY_GIVEN, FLASH + i * PAGE, PAGE, i, len(pages), FAMILY),
            *(page, last),
        )
        for i, page in enumerate(pages)
    )


def main() -> None:
    program, image = (Path(name) for name in sys.argv[1:])
    image.write_bytes(uf2(with_crc(program.read_bytes())))


if __name__ == "__main__":
    main()
