"""A calibration as one self-contained page."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from unspool.render.figures.calibration import modelled_figure
from unspool.render.figures.floor import floor_figure
from unspool.render.figures.gallery import CaptionedFigure
from unspool.render.html.page import figures, table, whole_page
from unspool.render.words.findings import sentence
from unspool.render.words.floor import FLOOR_HEAD, floor_caption, floor_rows
from unspool.render.words.losses import (
    RUN_HEAD,
    TERM_HEAD,
    break_away_words,
    run_cells,
    term_rows,
)
from unspool.study.calibration import BreakAway, Calibration, SlopeProfile


def calibration_page(
    calibration: Calibration, floor: SlopeProfile | None = None, rest: BreakAway | None = None
) -> str:
    """The page's HTML, with the floor and the resistance at rest where they were asked for."""
    c = calibration
    title = escape(f"{c.car.name}, losses from {len(c.runs)} runs")
    said = [sentence(finding) for finding in c.findings]
    said += break_away_words(rest) if rest is not None else ()
    parts = [
        f"<h1>{title}</h1>",
        table("Losses", TERM_HEAD, term_rows(c)),
        *(f"<p>{escape(sentence(both))}</p>" for both in c.together),
        f"<ul>{''.join(f'<li>{escape(one)}</li>' for one in said)}</ul>",
        *figures(list(_pictures(c, floor)), (c.car.name, "losses")),
        table("Each attempt", RUN_HEAD, [run_cells(run) for run in c.runs]),
        table("The floor", FLOOR_HEAD, floor_rows(floor)) if floor is not None else "",
    ]
    return whole_page(title, parts)


def _pictures(calibration: Calibration, floor: SlopeProfile | None) -> Iterator[CaptionedFigure]:
    caption = "Where each attempt stopped, as modelled with these losses and as measured."
    yield CaptionedFigure("modelled", modelled_figure(calibration), caption)
    if floor is not None:
        yield CaptionedFigure("floor", floor_figure(floor), floor_caption(floor))
