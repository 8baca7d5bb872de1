"""The winding card as one A4 sheet in PDF."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Spacer, Table, TableStyle

from unspool.language import _, translated
from unspool.render.card import words
from unspool.render.paper import (
    BOLD,
    INK,
    MARGIN,
    PLAIN,
    QUIET,
    RULE,
    WIDTH,
    Style,
    heading,
    paragraph,
    register_fonts,
    table,
)
from unspool.study.plan.winding_card import WindingCard

BAR, LABEL_ROW = 9.0, 11.0


def card_pdf(card: WindingCard) -> bytes:
    """The sheet; the same card gives the same bytes."""
    register_fonts()
    parts = _parts(card)
    heights = [part.wrap(WIDTH, 1e6)[1] for part in parts]
    # A drum of many tiers, or a run of many events, is drawn smaller to stay on the sheet.
    scale = min(1.0, (A4[1] - 2.0 * MARGIN) / sum(heights))
    stream = BytesIO()
    sheet = Canvas(stream, pagesize=A4, invariant=1)
    sheet.setTitle(words.whole_title(card))
    sheet.setCreator("unspool")
    sheet.translate(MARGIN, A4[1] - MARGIN)
    sheet.scale(scale, scale)
    top = 0.0
    for part, height in zip(parts, heights, strict=True):
        top -= height
        part.drawOn(sheet, 0.0, top)
    sheet.save()
    return stream.getvalue()


def _parts(card: WindingCard) -> list[Flowable]:
    half = 0.5 * WIDTH
    wind = translated(words.WIND_HEADS)
    splits, course = words.split_rows(card), translated(words.COURSE_HEADS)
    beside = Table(
        [
            [heading(_("Run"), half - 12), heading(_("Split times"), half - 12)],
            [
                table(course, words.course_rows(card), (0.5, 0.25, 0.25), half - 12, 1),
                table(translated(words.SPLIT_HEADS), splits, (0.5, 0.5), half - 12, 1),
            ],
        ],
        colWidths=[half, half],
        style=[("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 0),
               ("RIGHTPADDING", (-1, 0), (-1, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, -1), 0)],
    )  # fmt: skip
    return [
        paragraph(words.title(card), 20, BOLD),
        paragraph(words.outcome(card), 11, BOLD),
        _facts(card),
        heading(_("Wind")),
        table(wind, words.wind_rows(card), (0.06, 0.31, 0.18, 0.15, 0.15, 0.15),
              WIDTH, 2, 13),
        Spacer(0, 4),
        paragraph(f"{words.string_words(card)} {_(words.MARKS)}"),
        MarkStrip(words.string_marks(card)),
        beside,
        Spacer(0, 6),
        MarkStrip(words.track_marks(card)),
        heading(_("Mind")),
        *(paragraph(f"\u2022 {caution}") for caution in words.cautions(card)),
        heading(_("Measured")),
        _blank(),
    ]  # fmt: skip


def _facts(card: WindingCard) -> Table:
    """Each fact beside its name, in two columns."""
    every = words.facts(card)
    cells = [part for name, text in every for part in (paragraph(name), paragraph(text, 10, BOLD))]
    cells += [paragraph("")] * (-len(cells) % 4)
    rows = [cells[i : i + 4] for i in range(0, len(cells), 4)]
    shares = (0.1, 0.36, 0.1, 0.44)
    style: Style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ]
    return Table(rows, [share * WIDTH for share in shares], style=TableStyle(style))


def _blank() -> Table:
    shares = (0.10, 0.16, 0.14, 0.60)
    style: Style = [
        ("FONT", (0, 0), (-1, 0), PLAIN, 8.5),
        ("TEXTCOLOR", (0, 0), (-1, 0), QUIET),
        ("GRID", (0, 1), (-1, -1), 0.4, RULE),
    ]
    rows = [translated(words.WRITE_IN), *([""] * len(shares) for _ in range(words.BLANK_RUNS))]
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
