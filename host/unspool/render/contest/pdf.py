"""Sheets of a contest and its certificates as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.pagesizes import A4
from reportlab.platypus import Flowable, PageBreak, SimpleDocTemplate, Spacer, Table, TableStyle

from unspool.contest import Board, Contest, Row, board
from unspool.language import _, localised
from unspool.render.contest.sheets import Line, Part, Sheet, class_title, final_text
from unspool.render.paper import (
    BOLD,
    MARGIN,
    PLAIN,
    RULE,
    WIDTH,
    Style,
    heading,
    paragraph,
    register_fonts,
)
from unspool.render.words.contest import score_text
from unspool.safe_text import visible

PADDING = 6.0  # that a page's frame adds inside its margins
WRITTEN = 12.0  # points below the words of a line that is to be written in by hand
SIZE = 8.5
LONGEST = 300  # characters of a cell: a row must fit on a page; the CSV has all of them


def sheet_pdf(sheet: Sheet) -> bytes:
    register_fonts()
    parts: list[Flowable] = [_text(sheet.title, 18, BOLD), *(_text(one) for one in sheet.notes)]
    for part in sheet.parts:
        parts += [heading(visible(part.title)), _table(part), Spacer(0, 8)]
    return _made(sheet.title, parts)


def certificates_pdf(contest: Contest) -> bytes:
    """A page for each car: its place if that is one of the first three of its class."""
    register_fonts()
    parts: list[Flowable] = []
    for one in board(contest):
        for row in one.rows:
            parts += [*_certificate(contest, one, row), PageBreak()]
    if not parts:
        parts.append(_text(_("No car is entered yet.")))
    return _made(_("{contest}: certificates", contest=contest.name), parts)


def _certificate(contest: Contest, one: Board, row: Row) -> list[Flowable]:
    lines: list[Flowable] = [Spacer(0, 120), _centred(contest.name, 20), Spacer(0, 70)]
    lines += [_centred(_place(row), 34, BOLD), Spacer(0, 10)]
    if one.class_name:
        lines.append(_centred(class_title(contest, one.class_name), 16))
    lines += [Spacer(0, 60), _centred(row.team, 28, BOLD), Spacer(0, 10)]
    score = score_text(row.score, contest.rules)
    scored = _("with {car}: {score}", car=row.car, score=score)
    lines.append(_centred(row.car if row.score is None else scored, 16))
    if not contest.closed:
        lines += [Spacer(0, 30), _centred(final_text(contest), 11)]
    return [*lines, Spacer(0, 110), _signed()]


def _place(row: Row) -> str:
    firsts = {1: _("First place"), 2: _("Second place"), 3: _("Third place")}
    return firsts.get(row.place or 0) or _("Took part")


def _signed() -> Table:
    """Room for the day and for a name, written by hand."""
    cells = [_text(_("Day"), SIZE), "", _text(_("For the organisers"), SIZE)]
    over = ("LINEABOVE", (0, 0), (0, 0), 0.6, RULE), ("LINEABOVE", (2, 0), (2, 0), 0.6, RULE)
    widths = [share * WIDTH for share in (0.3, 0.1, 0.4)]
    return Table([cells], colWidths=widths, style=TableStyle([*over]))


def _centred(words: str, size: float, font: str = PLAIN) -> Flowable:
    return paragraph(visible(words), size, font, centred=True)


def _table(part: Part) -> Table:
    """Each cell is broken into lines, so that no name runs out of its column."""
    head = [_text(one, SIZE) for one in part.heads]
    style: Style = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
    ]
    widths = [share * WIDTH for share in _shares(part)]
    if part.tall:
        style.append(("BOTTOMPADDING", (0, 1), (-1, -1), WRITTEN))
    rows = [head, *(_cells(part, line) for line in part.lines)]
    return Table(rows, colWidths=widths, style=TableStyle(style), repeatRows=1)


def _cells(part: Part, line: Line) -> list[Flowable]:
    """Figures with the decimal sign of the reader's language."""
    words = [_text(one, SIZE, BOLD) for one in line[: part.named]]
    return [*words, *(_text(localised(one), SIZE) for one in line[part.named :])]


def _shares(part: Part) -> Sequence[float]:
    """Of the width, by the longest text of each column, within bounds."""
    columns = zip(part.heads, *part.lines, strict=True)
    wide = [min(max(max(map(len, column)), 7), 32) for column in columns]
    return [one / sum(wide) for one in wide]


def _text(words: str, size: float = 10.0, font: str = PLAIN) -> Flowable:
    shown = visible(words)
    return paragraph(shown if len(shown) <= LONGEST else f"{shown[:LONGEST]}...", size, font)


def _made(title: str, parts: list[Flowable]) -> bytes:
    stream = BytesIO()
    edge = MARGIN - PADDING
    paper = SimpleDocTemplate(
        stream,
        pagesize=A4,
        title=visible(title),
        creator="unspool",
        invariant=1,
        leftMargin=edge,
        rightMargin=edge,
        topMargin=edge,
        bottomMargin=edge,
    )
    paper.build(parts)
    return stream.getvalue()
