"""The winding card as one A4 sheet in PDF."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, Spacer, Table, TableStyle

from unspool.render.card import words
from unspool.render.figures import palette
from unspool.render.words.units import plain
from unspool.study.plan.winding_card import WindingCard

PLAIN, BOLD = "UnspoolSans", "UnspoolSansBold"
MARGIN = 34.0  # points, 12 mm
WIDTH = A4[0] - 2.0 * MARGIN
BAR, LABEL_ROW = 9.0, 11.0
Style = list[tuple[Any, ...]]
INK, QUIET, RULE = (HexColor(c) for c in (palette.INK, palette.QUIET, palette.RULE))


def card_pdf(card: WindingCard) -> bytes:
    """The sheet; the same card gives the same bytes."""
    _fonts()
    parts = _parts(card)
    heights = [part.wrap(WIDTH, 1e6)[1] for part in parts]
    # A drum of many tiers, or a run of many events, is drawn smaller to stay on the sheet.
    scale = min(1.0, (A4[1] - 2.0 * MARGIN) / sum(heights))
    stream = BytesIO()
    sheet = Canvas(stream, pagesize=A4, invariant=1)
    sheet.setTitle(f"Winding card: {words.title(card)}")
    sheet.setCreator("unspool")
    sheet.translate(MARGIN, A4[1] - MARGIN)
    sheet.scale(scale, scale)
    top = 0.0
    for part, height in zip(parts, heights, strict=True):
        top -= height
        part.drawOn(sheet, 0.0, top)
    sheet.save()
    return stream.getvalue()


@cache
def _fonts() -> None:
    for name, file in ((PLAIN, "DejaVuSans.ttf"), (BOLD, "DejaVuSans-Bold.ttf")):
        data = files("unspool.render.card").joinpath("fonts", file).read_bytes()
        registerFont(TTFont(name, BytesIO(data)))


def _parts(card: WindingCard) -> list[Flowable]:
    half = 0.5 * WIDTH
    splits = words.split_rows(card)
    beside = Table(
        [
            [_head("Run", half - 12), _head("Split times", half - 12)],
            [
                _rows(words.COURSE_HEADS, words.course_rows(card), (0.5, 0.25, 0.25), half - 12, 1),
                _rows(words.SPLIT_HEADS, splits, (0.5, 0.5), half - 12, 1),
            ],
        ],
        colWidths=[half, half],
        style=[("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 0),
               ("RIGHTPADDING", (-1, 0), (-1, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, -1), 0)],
    )  # fmt: skip
    return [
        _text(words.title(card), 20, BOLD),
        _text(words.outcome(card)),
        _head("Wind"),
        _rows(words.WIND_HEADS, words.wind_rows(card), (0.06, 0.34, 0.18, 0.12, 0.15, 0.15),
              WIDTH, 2, 13),
        Spacer(0, 4),
        _text(f"{words.string_words(card)} {words.MARKS}"),
        MarkStrip(words.string_marks(card)),
        beside,
        Spacer(0, 6),
        MarkStrip(words.track_marks(card)),
        _head("Mind"),
        *(_text(f"\u2022 {caution}") for caution in words.cautions(card)),
        _head("Measured"),
        _blank(),
    ]  # fmt: skip


def _text(text: str, size: float = 10.0, font: str = PLAIN) -> Paragraph:
    style = ParagraphStyle(
        "text", fontName=font, fontSize=size, leading=1.3 * size, textColor=INK, splitLongWords=True
    )
    return Paragraph(plain(text), style)


def _head(text: str, width: float = WIDTH) -> Table:
    style: Style = [
        ("LINEBELOW", (0, 0), (-1, -1), 1.2, INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 12),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table([[_text(text, 12, BOLD)]], colWidths=[width], style=TableStyle(style))


def _rows(
    heads: Sequence[str],
    rows: Sequence[words.Row],
    shares: Sequence[float],
    width: float,
    named: int = 0,
    size: float = 10.0,
) -> Table:
    """A table whose first `named` columns are words, the rest numbers; long words are broken."""
    body = [[_text(x, size, BOLD) if named > 0 and i < named else x for i, x in enumerate(row)]
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


def _blank() -> Table:
    shares = (0.08, 0.16, 0.14, 0.62)
    style: Style = [
        ("FONT", (0, 0), (-1, 0), PLAIN, 8.5),
        ("TEXTCOLOR", (0, 0), (-1, 0), QUIET),
        ("GRID", (0, 1), (-1, -1), 0.4, RULE),
    ]
    rows = [list(words.WRITE_IN), *([""] * len(shares) for _ in range(words.BLANK_RUNS))]
    heights = [14.0, *[21.0] * words.BLANK_RUNS]
    return Table(rows, [s * WIDTH for s in shares], heights, style=TableStyle(style))


class MarkStrip(Flowable):
    """A bar to scale with a tick and a label for each mark, at (share of the bar, label)."""

    def __init__(self, marks: Sequence[tuple[float, str]]) -> None:
        super().__init__()
        self.marks = marks
        self.rows = words.strip_rows(marks)
        self.width = WIDTH
        self.height = BAR + LABEL_ROW * (max(self.rows, default=-1) + 1) + 8.0 if marks else 0.0

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 (reportlab's names)
        return self.width, self.height

    def draw(self) -> None:
        if not self.marks:
            return
        top = self.height - 4.0
        self.canv.setFillColor(RULE)
        self.canv.rect(0.0, top - BAR, self.width, BAR, stroke=0, fill=1)
        self.canv.setFillColor(INK)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(1.2)
        self.canv.setFont(PLAIN, 8.5)
        for i, (share, label) in enumerate(self.marks):
            x = max(0.0, min(share, 1.0)) * self.width
            if not self.rows:
                self.canv.line(x, top, x, top - BAR)
                continue
            y = top - BAR - LABEL_ROW * (self.rows[i] + 1) + 2.0
            self.canv.line(x, top, x, y + 8.0)
            write = self.canv.drawRightString if share > 0.8 else self.canv.drawString
            write(x, y, label)
