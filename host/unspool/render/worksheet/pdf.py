"""A worksheet as PDF: one to fill in with a pencil, and the teacher's key."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO

from reportlab.lib.pagesizes import A4
from reportlab.platypus import Flowable, KeepTogether, SimpleDocTemplate, Spacer, Table, TableStyle

from unspool.language import _
from unspool.render.paper import (
    BOLD,
    INK,
    MARGIN,
    RULE,
    WIDTH,
    Style,
    heading,
    paragraph,
    register_fonts,
)
from unspool.render.words.units import quantity
from unspool.render.words.worksheet import formula_text, option_text, question_text
from unspool.render.words.worksheet_key import working_text
from unspool.study.worksheet import Choice, Question, Worksheet

LINE = 26.0  # points, room to write a line by hand
LINES = 2  # for each sum
PADDING = 6.0  # that a page's frame adds inside its margins
SQUARE = 9.0


def worksheet_pdf(sheet: Worksheet) -> bytes:
    """The sheet to fill in, with room for each sum; the same sheet gives the same bytes."""
    register_fonts()
    title = _("Worksheet: {car}", car=sheet.car.name)
    return _made(title, [*_head(title), *_forecast(), *_questions(sheet), *_after()])


def key_pdf(sheet: Worksheet) -> bytes:
    """The teacher's key: each answer and how it is found, then what the model expects."""
    register_fonts()
    title = _("Teacher's key: {car}", car=sheet.car.name)
    parts: list[Flowable] = [paragraph(title, 18, BOLD), paragraph(_expected(sheet))]
    for number, question in enumerate(sheet.questions, 1):
        text = f"{number}. {question_text(question)}"
        lines = [paragraph(text), paragraph(working_text(question), 11, BOLD), Spacer(0, 6)]
        parts.append(KeepTogether(lines))
    parts.append(paragraph(_("Answers within 5 % count as right: pupils round on the way.")))
    return _made(title, parts)


def _made(title: str, parts: list[Flowable]) -> bytes:
    stream = BytesIO()
    paper = SimpleDocTemplate(
        stream,
        pagesize=A4,
        title=title,
        creator="unspool",
        invariant=1,
        leftMargin=MARGIN - PADDING,
        rightMargin=MARGIN - PADDING,
        topMargin=MARGIN - PADDING,
        bottomMargin=MARGIN - PADDING,
    )
    paper.build(parts)
    return stream.getvalue()


def _expected(sheet: Worksheet) -> str:
    run = sheet.prediction
    if not run.starts:
        return _("The model expects that the car does not start.")
    low, high = quantity(run.distance_low_m, "m", 1), quantity(run.distance_high_m, "m", 1)
    return _(
        "The model expects {distance} (90 % between {low} and {high}).",
        distance=quantity(run.distance_m, "m", 1),
        low=low,
        high=high,
    )


def _head(title: str) -> Iterator[Flowable]:
    yield paragraph(title, 18, BOLD)
    yield Spacer(0, 8)
    yield _written([(_("Name"), 0.6), (_("Date"), 0.4)])


def _forecast() -> Iterator[Flowable]:
    yield heading(_("Your forecast"))
    yield _written([(_("How far will the car go?"), 1.0)], "m")


def _questions(sheet: Worksheet) -> Iterator[Flowable]:
    yield heading(_("Work it out"))
    for number, question in enumerate(sheet.questions, 1):
        yield KeepTogether([*_question(number, question), Spacer(0, 6)])


def _question(number: int, question: Question) -> Iterator[Flowable]:
    yield paragraph(f"{number}. {question_text(question)}")
    if isinstance(question, Choice):
        for option in question.options:
            yield _ticked(option_text(option))
        return
    formula = formula_text(question)
    if formula:
        yield paragraph(formula, 9)
    yield _lines(question.unit)


def _ticked(words: str) -> Table:
    """A square to tick, and what it stands for."""
    style: Style = [
        ("LEFTPADDING", (0, 0), (0, -1), 12),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
    square = Table(
        [[""]], [SQUARE], [SQUARE], style=TableStyle([("BOX", (0, 0), (0, 0), 0.8, INK)])
    )
    widths = [SQUARE + 18.0, WIDTH - SQUARE - 18.0]
    return Table([[square, paragraph(words)]], widths, style=TableStyle(style))


def _after() -> Iterator[Flowable]:
    text = _("By how many percent of the taped distance did you miss? What could be the reason?")
    lines = [
        heading(_("After the run")),
        _written([(_("How far did it go, by tape?"), 1.0)], "m"),
        paragraph(text),
        _lines("%"),
    ]
    yield KeepTogether(lines)


def _written(fields: list[tuple[str, float]], unit: str = "") -> Table:
    """Words, each with a line to write on."""
    cells = [f"{words} {'_' * int(60 * share - len(words))} {unit}" for words, share in fields]
    row = [paragraph(cell, 11) for cell in cells]
    return Table([row], colWidths=[share * WIDTH for _words, share in fields])


def _lines(unit: str) -> Table:
    """Empty lines for a sum; the last ends in the unit."""
    rows = [["", unit if line == LINES - 1 else ""] for line in range(LINES)]
    style: Style = [
        ("LINEBELOW", (0, 0), (0, -1), 0.6, RULE),
        ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
    ]
    widths = [0.92 * WIDTH, 0.08 * WIDTH]
    return Table(rows, widths, [LINE] * LINES, style=TableStyle(style))
