"""Sheets of a contest and its certificates as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.lib.pagesizes import A4
from reportlab.platypus import Flowable, PageBreak, SimpleDocTemplate, Spacer, Table, TableStyle

from unspool.contest import Board, Contest, Row, board
from unspool.render.contest.sheets import Part, Sheet, class_title
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
BEST = 3  # places that get a certificate
SIZE = 8.5
LONGEST = 300  # characters of a cell: a row must fit on a page; the CSV has all of them


def sheet_pdf(sheet: Sheet) -> bytes:
    register_fonts()
    parts: list[Flowable] = [_text(sheet.title, 18, BOLD), *(_text(one) for one in sheet.notes)]
    for part in sheet.parts:
        parts += [heading(visible(part.title)), _table(part), Spacer(0, 8)]
    return _made(sheet.title, parts)


def certificates_pdf(contest: Contest) -> bytes:
    """A page for each of the first three places of each class."""
    register_fonts()
    parts: list[Flowable] = []
    for one in board(contest):
        for row in one.rows:
            if row.place is not None and row.place <= BEST:
                parts += [*_certificate(contest, one, row), PageBreak()]
    if not parts:
        parts.append(_text("No car has a place yet."))
    return _made(f"{contest.name}: certificates", parts)


def _certificate(contest: Contest, one: Board, row: Row) -> list[Flowable]:
    place = {1: "First place", 2: "Second place", 3: "Third place"}[row.place or BEST]
    lines: list[Flowable] = [Spacer(0, 150), _text(contest.name, 20), Spacer(0, 60)]
    lines += [_text(place, 34, BOLD), Spacer(0, 6)]
    if one.class_name:
        lines.append(_text(class_title(contest, one.class_name), 16))
    lines += [Spacer(0, 50), _text(row.team, 26, BOLD), Spacer(0, 8)]
    lines.append(_text(f"with {row.car}: {score_text(row.score, contest.rules)}", 16))
    if not contest.closed:
        lines += [Spacer(0, 30), _text("Not final: the contest is still open.", 11)]
    return lines


def _table(part: Part) -> Table:
    """Each cell is broken into lines, so that no name runs out of its column."""
    head = [_text(one, SIZE) for one in part.heads]
    body = [[_text(one, SIZE, BOLD if i < part.named else PLAIN) for i, one in enumerate(line)]
            for line in part.lines]  # fmt: skip
    style: Style = [
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, RULE),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
    ]
    widths = [share * WIDTH for share in _shares(part)]
    return Table([head, *body], colWidths=widths, style=TableStyle(style), repeatRows=1)


def _shares(part: Part) -> Sequence[float]:
    """Of the width, by the longest text of each column, within bounds."""
    columns = zip(part.heads, *part.lines, strict=True)
    wide = [min(max(max(map(len, column)), 7), 24) for column in columns]
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
