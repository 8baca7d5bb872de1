"""A calibration as one self-contained page."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from math import isfinite

from unspool.losses import BreakAway, Calibration, SlopeProfile
from unspool.pictures.floor import FLOOR_HEAD, floor_caption, floor_picture, floor_rows
from unspool.pictures.gallery import Captioned
from unspool.pictures.loss_words import RUN_HEAD, TERM_HEAD, run_cells, term_rows, together
from unspool.pictures.losses import modelled_picture
from unspool.pictures.page import figures, table, whole_page


def calibration_page(
    calibration: Calibration, floor: SlopeProfile | None = None, rest: BreakAway | None = None
) -> str:
    """The page's HTML, with the floor and the resistance at rest where they were asked for."""
    c = calibration
    title = escape(f"{c.car.name}, losses from {len(c.runs)} runs")
    told = [*c.advice, *(break_away_words(rest) if rest is not None else ())]
    parts = [
        f"<h1>{title}</h1>",
        table("Losses", TERM_HEAD, term_rows(c)),
        f"<p>{escape(together(c))}</p>",
        f"<ul>{''.join(f'<li>{escape(one)}</li>' for one in told)}</ul>",
        *figures(list(_pictures(c, floor)), (c.car.name, "losses")),
        table("Each run", RUN_HEAD, [run_cells(run) for run in c.runs]),
        table("The floor", FLOOR_HEAD, floor_rows(floor)) if floor is not None else "",
    ]
    return whole_page(title, parts)


def _pictures(calibration: Calibration, floor: SlopeProfile | None) -> Iterator[Captioned]:
    caption = "Where each run stopped, as modelled with these losses and as measured."
    yield Captioned("modelled", modelled_picture(calibration), caption)
    if floor is not None:
        yield Captioned("floor", floor_picture(floor), floor_caption(floor))


def break_away_words(told: BreakAway) -> Iterator[str]:
    """Sentences on the resistance at rest."""
    high = f"{told.high:.4f}" if isfinite(told.high) else "an unknown value"
    remark = "" if told.known else ", not told by the runs"
    yield f"Break-away coefficient: between {told.low:.4f} and {high}{remark}."
    if told.contradicts is not None:
        yield f"Two runs contradict each other: {told.contradicts}. Was one pushed?"
    if told.advice is not None:
        yield told.advice
