"""A block decoder written from docs/protocol.md alone, slowly, over a string of 0 and 1.

It shares nothing with host/unspool/wire and is what the others are compared with.
"""

from __future__ import annotations

from math import floor


def decode(block: bytes) -> list[tuple[int, int, int]]:
    """(number, tick, direction) of each edge in a whole block."""
    number = int.from_bytes(block[0:4], "little")
    tick = int.from_bytes(block[4:9], "little")
    direction = 1 if block[9] % 2 else -1
    slots = block[9] // 2
    bits = "".join(f"{byte:08b}" for byte in block[10:])
    edges = [(number, tick, direction)]
    history: list[int] = []
    bias = {"turn": 0, "last": 0}
    spread = {"turn": 256, "last": 4096}
    while True:
        way, bare, predicted, rice = "last", 0, 0, 0
        if history:
            way, bare = _bare_prediction(history, slots)
            predicted = min(max(bare + floor(bias[way] / 4), 0), 2**20 - 1)
            rice = min(len(f"{spread[way] // 16:b}".lstrip("0")), 20)
        if bits.startswith("1" * 12):
            kind, bits = int(bits[12:14], 2), bits[14:]
            if kind == 2:
                assert set(bits) <= {"0"}
                assert len(bits) < 8
                return edges
            size = int(bits[:5], 2) + 1
            interval, bits = int(bits[5 : 5 + size], 2), bits[5 + size :]
            if kind == 1:
                direction, history = -direction, []
            else:
                assert kind == 0
                if history:
                    spread[way] += 12 * 2**rice - spread[way] // 8
                history.append(min(interval, 65535))
        else:
            ones = bits.index("0")
            low, bits = bits[ones + 1 : ones + 1 + rice], bits[ones + 1 + rice :]
            folded = ones * 2**rice + (int(low, 2) if low else 0)
            residual = folded // 2 if folded % 2 == 0 else -(folded + 1) // 2
            interval = predicted + residual
            spread[way] += folded - spread[way] // 8
            bias[way] += floor((4 * (interval - bare) - bias[way]) / 2)
            history.append(min(interval, 65535))
        number, tick = number + 1, tick + interval
        edges.append((number, tick, direction))


def _bare_prediction(history: list[int], slots: int) -> tuple[str, int]:
    if slots and len(history) > slots:
        last, turn_ago, before = history[-1], history[-slots], history[-slots - 1]
        if before > 0 and 65535 not in (last, turn_ago, before):
            return "turn", min(turn_ago * last // before, 2**20 - 1)
    return "last", history[-1]
