"""Texts spoilt at random: bytes, lines, values and structure."""

from __future__ import annotations

import random
import re

# What stands in a file after a slip, a bad export or ill will.
VALUES = (
    *("0", "-1", "-0.0", "1e-9", "1e-300", "5e-324", "1e9", "1e300", "1e308", "nan", "inf", "-inf"),
    *("9" * 400, "-" + "9" * 5000, "0." + "0" * 400 + "1", "0x10", "1_000", "1,5", "١٢", "12 mm"),
    *('""', '"12"', '"\\u001b[31m"', '"=HYPERLINK(1)"', f'"{"x" * 5000}"', "true", "1979-05-27"),
    *("[]", "{}", "[1, 2]", "{ a = 1 }", "[" * 20_000, "2147483648", "9223372036854775808"),
)
FACTORS = (0.001, 0.01, 0.1, 0.5, 1.0001, 2.0, 10.0, 60.0, 1000.0, 1e6, -1.0)
_NUMBER = re.compile(r"(?<![\w.])[-+]?\d+\.?\d*(?:[eE][-+]?\d+)?(?![\w.])")
_BYTES = (b"\0", b"\xff", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\x1b[2J", b"\xc3", b'"', b"#", b"=")


def mutated(rng: random.Random, text: str) -> bytes:
    """The text with one to four things wrong."""
    data = text.encode()
    for _ in range(rng.choice((1, 1, 1, 2, 2, 4))):
        data = rng.choice(_WAYS)(rng, data)
    return data


def _value(rng: random.Random, data: bytes) -> bytes:
    return _at_a_number(rng, data, lambda _old: rng.choice(VALUES))


def _scaled(rng: random.Random, data: bytes) -> bytes:
    """The usual slip: another unit."""

    def other(old: str) -> str:
        return repr(float(old) * rng.choice(FACTORS))

    return _at_a_number(rng, data, other)


def _at_a_number(rng: random.Random, data: bytes, change) -> bytes:
    text = data.decode("utf-8", "surrogateescape")
    found = list(_NUMBER.finditer(text))
    if not found:
        return data
    at = rng.choice(found)
    changed = text[: at.start()] + change(at[0]) + text[at.end() :]
    return changed.encode("utf-8", "surrogateescape")


def _lines(rng: random.Random, data: bytes) -> bytes:
    lines = data.splitlines(keepends=True)
    if not lines:
        return data
    i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
    match rng.randrange(5):
        case 0:
            del lines[i]
        case 1:
            lines.insert(j, lines[i])
        case 2:
            lines[i], lines[j] = lines[j], lines[i]
        case 3:
            del lines[min(i, j) : max(i, j)]
        case _:
            rng.shuffle(lines)
    return b"".join(lines)


def _bytes(rng: random.Random, data: bytes) -> bytes:
    i = rng.randrange(len(data) + 1)
    match rng.randrange(6):
        case 0:
            return data[:i]
        case 1:
            return data[:i] + rng.choice(_BYTES) + data[i:]
        case 2:
            return (
                data[:i]
                + bytes(b ^ (1 << rng.randrange(8)) for b in data[i : i + 1])
                + data[i + 1 :]
            )
        case 3:
            return data[:i] + data[i + rng.randrange(1, 40) :]
        case 4:
            return data[:i] + rng.randbytes(rng.randrange(1, 60)) + data[i:]
        case _:
            return data[:i] + data[max(0, i - 80) : i] * rng.randrange(1, 30) + data[i:]


def _whole(rng: random.Random, data: bytes) -> bytes:
    """All of the file: as another encoding, in other line ends, empty, or very often."""
    text = data.decode("utf-8", "replace")
    match rng.randrange(6):
        case 0:
            return text.encode("utf-16")
        case 1:
            return data.replace(b"\n", b"\r\n")
        case 2:
            return data.replace(b".", b",")
        case 3:
            return b""
        case 4:
            return data * rng.randrange(2, 200)
        case _:
            return data.replace(b"\n", rng.choice((b"\r", b";", b"\n\n", b"\t\n")))


_WAYS = (_value, _value, _value, _scaled, _scaled, _lines, _bytes, _bytes, _whole)
