"""A board from above, with the pins that carry a wire."""

from __future__ import annotations

from drawings.ink import BLUE, CARD, GREY, INK, SMALL, STEEL, WIDE, Page, Point
from drawings.pins import Board
from drawings.wires import COLOURS, WORDS, sign

PITCH, TOP = 30.0, 116.0
LEFT, RIGHT = 214.0, 386.0
WIRE = 44.0


def board_page(board: Board) -> str:
    rows = max(len(board.left), len(board.right))
    end = PITCH * 2 + 96.0 if board.at_end else 0.0
    below = TOP + PITCH * rows + end + 34.0
    page = Page(f"The pins of a {board.name} board that carry a wire", below + 18.0)
    page.heading(None, f"{board.name}, seen from above")
    _outline(page, board, PITCH * rows + (PITCH * 2 + 20.0 if end else 0.0))
    for side in ("left", "right"):
        _column(page, board, side)
    if board.at_end:
        _end(page, board, TOP + PITCH * rows + 26.0)
    page.text(
        (WIDE / 2, below),
        f"Lamp: on the board, pin {board.lamp}. Grey pins stay free.",
        "middle",
        colour=GREY,
        size=SMALL,
    )
    return page.svg()


def _outline(page: Page, board: Board, height: float) -> None:
    page.box((LEFT - 16, TOP - 26), (RIGHT - LEFT + 32, height + 20), CARD, corner=8)
    page.box((264, TOP - 50), (72, 40), STEEL)
    page.text((300, TOP - 24), "USB", "middle", size=SMALL)
    page.text((300, TOP + 0.42 * height), board.name, "middle", bold=True)


def wires_at(board: Board) -> dict[tuple[str, int], list[str]]:
    """(side, row from the socket) -> the wires there. The ground nearest to a + takes all of -."""
    found: dict[tuple[str, int], list[str]] = {}
    for wire, pin in board.wires.items():
        found.setdefault(_place(board, pin), []).append(wire)
    return found


def _place(board: Board, pin: str) -> tuple[str, int]:
    sides = {"left": board.left, "right": board.right}
    sides |= {f"end {row}": pins for row, pins in enumerate(board.at_end)}
    for side, pins in sides.items():
        if pin in pins and (pin != "GND" or board.wires["+"] in pins):
            return side, pins.index(pin)
    raise ValueError(f"{board.name} has no pin {pin}")


def _column(page: Page, board: Board, side: str) -> None:
    out = -1.0 if side == "left" else 1.0
    x = LEFT if side == "left" else RIGHT
    wires = wires_at(board)
    for row, name in enumerate(board.left if side == "left" else board.right):
        here, at = wires.get((side, row), []), (x, TOP + PITCH * row)
        _pin(page, at, here, name)
        inside = (x - out * 13.0, at[1] + 6.0)
        anchor = "start" if side == "left" else "end"
        page.text(inside, name, anchor, size=SMALL, bold=bool(here), colour=INK if here else GREY)
        _wires(page, at, out, here)


def _pin(page: Page, at: Point, wires: list[str], name: str) -> None:
    colour = COLOURS[wires[0]] if wires else STEEL
    if name:  # a place without a name stays free
        page.circle(at, 7.0 if wires else 5.0, colour, colour)


def _wires(page: Page, at: Point, out: float, wires: list[str]) -> None:
    x, y = at
    for number, wire in enumerate(wires):
        end = (x + out * (WIRE + 32.0 * number), y)
        page.line([at if number == 0 else (end[0] - out * 18.0, y), end], COLOURS[wire], 4.0)
        page.badge(end, sign(wire), COLOURS[wire])
    if wires:
        words = "all +" if len(wires) > 1 else WORDS[wires[0]]
        beside = (x + out * (WIRE + 32.0 * (len(wires) - 1) + 20.0), y + 6.0)
        page.text(beside, words, "end" if out < 0 else "start", size=SMALL)


def _end(page: Page, board: Board, top: float) -> None:
    """The two rows far from the socket: one wire goes left from the inner, one down."""
    wires = wires_at(board)
    for row, pins in enumerate(board.at_end):
        y = top + 22.0 * row
        for place, name in enumerate(pins):
            x = LEFT + (RIGHT - LEFT) * place / (len(pins) - 1)
            here = wires.get((f"end {row}", place), [])
            page.circle((x, y), 4.5, COLOURS[here[0]] if here else STEEL, "none")
            for wire in here:
                _end_wire(page, (x, y), row, name, wire)
    page.text((RIGHT + 22.0, top + 18.0), "22, 23 at this end", size=SMALL, colour=BLUE)


def _end_wire(page: Page, at: Point, row: int, name: str, wire: str) -> None:
    x, y = at
    down = y + (52.0 if row else 74.0)
    side = x + (36.0 if row else -60.0)
    colour = COLOURS[wire]
    # The inner row's wire passes between two pins of the outer row.
    path = [at, (x, down)] if row else [at, (x - 5.4, y + 11.0), (x - 5.4, down)]
    page.line([*path, (side, down)], colour, 4.0)
    page.badge((side, down), sign(wire), colour)
    anchor, out = ("start", 20.0) if row else ("end", -20.0)
    words = f"{name}: {WORDS[wire]}"
    page.text((side + out, down + 6.0), words, anchor, size=SMALL, bold=True)
