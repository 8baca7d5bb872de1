"""Sheets: panels laid side by side on the material, in rows, with notes below them.

The name of each panel stands below it: within, it would lie on a line to cut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from textwrap import wrap

from unspool.errors import Fault, all_faults
from unspool.workshop.panel import LETTER_MM, TEXT_MM, Mark, Panel, moved

MARGIN_MM = 8.0
BETWEEN_MM = 4.0  # the beam heats a thinner strip through
LINE_MM = 4.5
# Widest line of the notes in letters of 3 mm, with room to spare in any sans-serif face.
NOTES_MM = 150.0


@dataclass(frozen=True)
class Sheet:
    """Panels in their places, and lines of text for the person who cuts."""

    width_mm: float
    height_mm: float
    panels: tuple[Panel, ...]
    notes: tuple[str, ...]

    @property
    def notes_top_mm(self) -> float:
        return self.height_mm - MARGIN_MM - LINE_MM * (len(self.notes) + 1)


def lay_out(
    panels: Sequence[Panel], notes: Sequence[str], size_mm: tuple[float, float] | None = None
) -> list[Sheet]:
    """The panels on as few sheets as rows allow, each as often as its count says.

    Without a size one sheet grows to fit. Raises InputError if a panel is larger than the sheet.
    """
    pieces = [_named(replace(p, count=1)) for p in panels for _ in range(p.count)]
    width_mm = size_mm[0] if size_mm else _fitting_width(pieces)
    letters = int((width_mm - 2.0 * MARGIN_MM) / LETTER_MM)
    notes = [line for note in notes for line in wrap(note, letters)]
    below_mm = LINE_MM * (len(notes) + 1) + 2.0 * MARGIN_MM
    room_mm = size_mm[1] - below_mm - MARGIN_MM if size_mm else float("inf")
    _refuse_too_large(pieces, width_mm, room_mm, size_mm)
    sheets = []
    for placed, used_mm in _pages(pieces, width_mm, room_mm):
        height_mm = size_mm[1] if size_mm else used_mm + below_mm
        sheets.append(Sheet(width_mm, height_mm, placed, tuple(notes)))
    return sheets


def _fitting_width(pieces: Sequence[Panel]) -> float:
    sizes = [_size(p) for p in pieces]
    square = sqrt(sum((w + BETWEEN_MM) * (h + BETWEEN_MM) for w, h in sizes))
    widest = max(w for w, _ in sizes)
    return max(1.2 * square, widest, NOTES_MM) + 2.0 * MARGIN_MM


def _size(panel: Panel) -> tuple[float, float]:
    left, top, right, bottom = panel.bounds()
    return right - left, bottom - top


def _refuse_too_large(
    pieces: Iterable[Panel], width_mm: float, room_mm: float, size_mm: tuple[float, float] | None
) -> None:
    for piece in pieces:
        w, h = _size(piece)
        if size_mm and (w > width_mm - 2.0 * MARGIN_MM or h > room_mm):
            fault = Fault(
                piece.name,
                f"{w:.0f} by {h:.0f} mm",
                f"at most {width_mm - 2.0 * MARGIN_MM:.0f} by {max(room_mm, 0.0):.0f} mm,"
                f" the room on a sheet of {size_mm[0]:g} by {size_mm[1]:g} mm",
            )
            raise all_faults("the part does not fit on the sheet", [fault])


def _named(piece: Panel) -> Panel:
    """The piece with its name to be read, below all that is drawn of it."""
    left, _, right, bottom = piece.bounds()
    name = Mark(text=piece.name, at=((left + right) / 2.0, bottom + 0.8 * TEXT_MM))
    return replace(piece, marks=(*piece.marks, name))


def _pages(
    pieces: Sequence[Panel], width_mm: float, room_mm: float
) -> list[tuple[tuple[Panel, ...], float]]:
    """Rows from the tallest piece to the lowest: placed panels and the height used, a page each."""
    pages: list[tuple[tuple[Panel, ...], float]] = []
    placed: list[Panel] = []
    x = y = MARGIN_MM
    row_mm = 0.0
    for piece in sorted(pieces, key=lambda p: -_size(p)[1]):
        w, h = _size(piece)
        if x > MARGIN_MM and x + w > width_mm - MARGIN_MM:
            x, y, row_mm = MARGIN_MM, y + row_mm + BETWEEN_MM, 0.0
        if placed and y + h > room_mm + MARGIN_MM:
            pages.append((tuple(placed), y))
            placed, x, y, row_mm = [], MARGIN_MM, MARGIN_MM, 0.0
        left, top, _, _ = piece.bounds()
        placed.append(moved(piece, x - left, y - top))
        x, row_mm = x + w + BETWEEN_MM, max(row_mm, h)
    pages.append((tuple(placed), y + row_mm))
    return pages
