"""A sweep as one self-contained page."""

from __future__ import annotations

from html import escape

from unspool.render.figures.sweep import sweep_figures
from unspool.render.html.page import CAUTION, figures, table, whole_page
from unspool.render.words.sweep import NEARLY_HEAD, aim_words, best_sentences, nearly_rows
from unspool.study.sweep import Sweep


def sweep_page(sweep: Sweep) -> str:
    """The page's HTML: the best set, the pictures, and how flat the optimum is."""
    title = escape(f"{sweep.car.name} on {sweep.track.name}, {aim_words(sweep)}")
    said = "".join(f"<li>{escape(one)}</li>" for one in best_sentences(sweep))
    parts = [
        f"<h1>{title}</h1>",
        f"<ul>{said}</ul>",
        *figures(sweep_figures(sweep), (sweep.car.name, "sweep")),
        table("How far each size can be off", NEARLY_HEAD, nearly_rows(sweep)),
        f'<p class="quiet">{CAUTION}</p>',
    ]
    return whole_page(title, parts)
