"""What sheets of paper share: their fonts, and texts, headings and tables in them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_CENTER, TA_LEFT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph, Table, TableStyle

from unspool.render.figures import palette
from unspool.render.words.units import plain

PLAIN, BOLD = "UnspoolSans", "UnspoolSansBold"
MARGIN = 34.0  # points, 12 mm
WIDTH = A4[0] - 2.0 * MARGIN
Style = list[tuple[Any, ...]]
Row = tuple[str, ...]
INK, QUIET, RULE = (HexColor(c) for c in (palette.INK, palette.QUIET, palette.RULE))


@cache
def register_fonts() -> None:
    for name, file in ((PLAIN, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
        data = files("unspool.render.paper").joinpath("fonts", file).read_bytes()
        registerFont(TTFont(name, BytesIO(data)))


def paragraph(
    words: str, size: float = 10.0, font: str = PLAIN, *, centred: bool = False
) -> Paragraph:
    style = ParagraphStyle(
        "text",
        fontName=font,
        fontSize=size,
        leading=1.3 * size,
        textColor=INK,
        splitLongWords=True,
        alignment=TA_CENTER if centred else TA_LEFT,
    )
    return Paragraph(plain(words), style)


def heading(words: str, width: float = WIDTH) -> Table:
    style: Style = [
        ("LINEBELOW", (0, 0), (-1, -1), 1.2, INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 12),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table([[paragraph(words, 12, BOLD)]], colWidths=[width], style=TableStyle(style))


def table(
    heads: Sequence[str],
    rows: Sequence[Row],
    shares: Sequence[float],
    width: float,
    named: int = 0,
    size: float = 10.0,
) -> Table:
    """A table whose first `named` columns are words, the rest numbers; long words are broken."""
    body = [[paragraph(x, size, BOLD) if named > 0 and i < named else x for i, x in enumerate(row)]
            for row in rows]  # fmt: skip
    style: Style = [
        ("FONT", (0, 0), (-1, 0), PLAIN, 8.5),
        ("TEXTCOLOR", (0, 0), (-1, 0), QUIET),
        ("FONT", (0, 1), (-1, -1), BOLD if size > 10 else PLAIN, size),
        ("TEXTCOLOR", (0, 1), (-1, -1), INK),
        ("ALIGN", (named, 0), (-1, -1), "RIGHT"),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table(
        [list(heads), *body], colWidths=[s * width for s in shares], style=TableStyle(style)
    )
