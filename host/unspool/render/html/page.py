"""Self-contained pages, first of all that of one reading: each opens in any browser, and asks no
other address for anything.

The drawing library travels inside the page, so it is some megabytes large. Words that came from a
board or a file are escaped: they never become markup.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from pathlib import PurePath

from unspool.finding import Finding
from unspool.reading.events.types import Reading
from unspool.render.figures import palette
from unspool.render.figures.gallery import CaptionedFigure, reading_figures
from unspool.render.html.saving import KINDS, file_name, picture_config, save_script, save_word
from unspool.render.words.findings import sentence, warnings_first
from unspool.render.words.result import end_words
from unspool.render.words.rows import (
    COMPARE_HEAD,
    EVENT_HEAD,
    STRETCH_HEAD,
    Row,
    compared_rows,
    edges_line,
    event_rows,
    stretch_rows,
)
from unspool.render.words.safety import NEAR_THE_CAR, RESPONSIBLE
from unspool.render.words.units import quantity

CAUTION = f"{NEAR_THE_CAR} {RESPONSIBLE}"
_STYLE = f"""
body {{ margin: 0 auto; padding: 1rem; max-width: 60rem; font: 1rem/1.5 {palette.FONT};
  color: {palette.INK}; background: {palette.PAPER}; }}
table {{ border-collapse: collapse; margin: 1rem 0; }}
caption {{ text-align: left; font-weight: bold; }}
th, td {{ text-align: left; padding: 0.2rem 1rem 0.2rem 0;
  border-bottom: 1px solid {palette.RULE}; }}
figure {{ margin: 1rem 0; }}
figcaption, .quiet {{ color: {palette.QUIET}; }}
.wide {{ overflow-x: auto; }}
.save {{ display: flex; flex-wrap: wrap; align-items: center; gap: 0.75rem; margin: 0.5rem 0; }}
.save button {{ font: inherit; min-height: 44px; padding: 0 1rem; border-radius: 6px;
  border: 2px solid {palette.MEASURED}; color: {palette.MEASURED}; background: {palette.PAPER};
  cursor: pointer; }}
:focus-visible {{ outline: 3px solid {palette.MEASURED}; outline-offset: 3px; }}
@media print {{ .save {{ display: none; }} }}
"""


def reading_page(reading: Reading, name: str) -> str:
    """The page's HTML; `name` says which run it is: a number in the store, or a file."""
    saved = (reading.car, PurePath(name).stem)
    title = escape(f"{reading.car}, {name}")
    parts = [
        f"<h1>{title}</h1>",
        f"<p>{_headline(reading)}</p>",
        _findings(reading.findings),
        *figures(reading_figures(reading), saved),
        table("Events", EVENT_HEAD, event_rows(reading)),
        table("Stretches", STRETCH_HEAD, stretch_rows(reading)),
        table("Measured and expected", COMPARE_HEAD, compared_rows(reading)),
        f'<p class="quiet">{edges_line(reading)}</p>',
        f'<p class="quiet">{CAUTION}</p>',
    ]
    return whole_page(title, parts)


def whole_page(title: str, parts: Sequence[str]) -> str:
    """The HTML around a page's parts; title and parts are HTML already."""
    head = (
        f'<meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<link rel="icon" href="data:,"><style>{_STYLE}</style>'
    )
    body = "\n".join([*parts, f"<script>{save_script()}</script>"])
    return (
        f'<!doctype html><html lang="en"><head>{head}</head><body><main>{body}</main></body></html>'
    )


def _headline(reading: Reading) -> str:
    """Where it came to rest, and how fast it was."""
    return (
        f"{end_words(reading.motion, reading.distance_m, reading.distance_sd_m).capitalize()}, "
        f"{quantity(reading.duration_s, 's', 1)} after the launch; top speed "
        f"{quantity(reading.peak_speed_m_s, 'm/s')} at {quantity(reading.peak_at_m, 'm')}."
    )


def _findings(findings: Sequence[Finding]) -> str:
    if not findings:
        return "<p>Nothing odd was found.</p>"
    first = warnings_first(findings)
    items = (f"<li><b>{escape(f.severity)}:</b> {escape(sentence(f))}</li>" for f in first)
    return f"<h2>What stands out</h2><ul>{''.join(items)}</ul>"


def figures(shown: Sequence[CaptionedFigure], saved: tuple[str, ...]) -> Iterator[str]:
    """Each picture as a part of a page; `saved` are the first words of its file's name."""
    return (_figure(one, saved, first=i == 0) for i, one in enumerate(shown))


def _figure(one: CaptionedFigure, saved: tuple[str, ...], *, first: bool) -> str:
    """The drawing library comes with the first picture and serves the others."""
    drawn = one.figure.to_html(
        full_html=False,
        include_plotlyjs=first,
        include_mathjax=False,
        config={**picture_config(), "responsive": True},
        div_id=f"picture-{one.name}",
    )
    below = f"<figcaption>{escape(one.caption)}</figcaption>{_save(one.name, saved)}"
    return f"<figure>{drawn}{below}</figure>"


def _save(name: str, saved: tuple[str, ...]) -> str:
    file = escape(file_name(*saved, name))
    buttons = "".join(
        f'<button type="button" data-save="{kind}" data-name="{file}" '
        f'aria-label="{save_word(kind)}: {escape(name)}">{save_word(kind)}</button>'
        for kind in KINDS
    )
    return f'<div class="save">{buttons}<span role="status" data-saved></span></div>'


def table(caption: str, head: Sequence[str], rows: Sequence[Row]) -> str:
    """A table as a part of a page; every cell is text."""
    titles = "".join(f'<th scope="col">{escape(one)}</th>' for one in head)
    lines = "".join(
        f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in rows
    )
    return (
        f'<div class="wide"><table><caption>{escape(caption)}</caption>'
        f"<thead><tr>{titles}</tr></thead><tbody>{lines}</tbody></table></div>"
    )
