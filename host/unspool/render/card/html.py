"""The winding card as one HTML page that needs nothing else and prints on one sheet."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from unspool.language import _, language, translated
from unspool.render.card import words
from unspool.render.figures import palette
from unspool.study.plan.winding_card import WindingCard

# Rows that a sheet holds at full size, those that every card has, and the height of a tier's.
SHEET_ROWS, FIXED_ROWS, TIER_ROWS = 37.0, 25.0, 1.5
LARGEST_PX = 14.0  # so that an A4 sheet and a Letter sheet hold a usual card
STRIP_PX, ROW_PX, BAR_PX = 680, 16, 12

_STYLE = f"""
@page {{ margin: 10mm; }}
:root {{ font-size: var(--size); }}
body {{ font-family: {palette.FONT}; color: {palette.INK}; background: {palette.PAPER};
  max-width: 186mm; margin: 1rem auto; padding: 0 1rem; line-height: 1.35;
  font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }}
h1 {{ font-size: 1.7em; margin: 0; }}
h2 {{ font-size: 1.05em; margin: 0.9em 0 0.25em; border-bottom: 2px solid {palette.INK}; }}
p {{ margin: 0.25em 0; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ text-align: right; padding: 0.15em 0.5em; border-bottom: 1px solid {palette.RULE};
  vertical-align: baseline; }}
th {{ font-weight: 600; color: {palette.QUIET}; }}
.name {{ text-align: left; }}
.winds td {{ font-size: 1.2em; font-weight: 600; }}
.two {{ display: grid; grid-template-columns: 3fr 2fr; gap: 0 1.5em; align-items: start; }}
.blank th {{ text-align: left; }}
.blank td {{ height: 1.9em; border: 1px solid {palette.RULE}; }}
.first {{ font-size: 1.15em; font-weight: 600; }}
dl {{ display: grid; grid-template-columns: repeat(auto-fit, minmax(14em, 1fr)); gap: 0.1em 1.2em;
  margin: 0.4em 0; }}
dl div {{ display: flex; gap: 0.6em; }}
dt {{ color: {palette.QUIET}; min-width: 4.2em; }}
dd {{ margin: 0; font-weight: 600; }}
ul {{ margin: 0.25em 0; padding-left: 1.2em; }}
svg {{ width: 100%; height: auto; margin-top: 0.5em; }}
tr, li, svg, dl div {{ break-inside: avoid; }}
h2 {{ break-after: avoid; }}
@media screen and (max-width: 32em) {{ :root {{ font-size: 16px; }} .two {{ display: block; }}
  svg, .winds thead {{ display: none; }}
  .winds tr {{ display: flex; flex-wrap: wrap; gap: 0 1em;
    border-bottom: 1px solid {palette.RULE}; }}
  .winds td {{ border: 0; }} .winds td.name {{ font-weight: 800; }}
  .winds td:not(.name)::before {{ content: attr(data-head) " "; font-weight: 400;
    font-size: 0.8em; color: {palette.QUIET}; }}
  th, td {{ padding: 0.35em 0.2em; overflow-wrap: normal; }}
  .name:not(:first-child) {{ min-width: 4.5em; overflow-wrap: anywhere; }} }}
@media print {{ body {{ margin: 0; padding: 0; max-width: none; }} }}
/* On A5 the sheet is smaller by as much as the paper. On A6 what one winds comes first, alone. */
@media print and (max-width: 160mm) {{ :root {{ font-size: calc(0.7 * var(--size)); }}
  @page {{ margin: 8mm; }} }}
@media print and (max-width: 110mm) {{ :root {{ font-size: calc(0.68 * var(--size)); }}
  .two {{ display: grid; }} .after {{ break-before: page; }} .blank {{ break-inside: avoid; }} }}
"""


def card_html(card: WindingCard) -> str:
    """The page as a whole document."""
    name = escape(words.title(card))
    on_string, on_track = (
        _("Marks on the string, from the drum"),
        _("Along the track, from the launch"),
    )
    wind, run, splits = _("Wind"), _("Run"), _("Split times")
    mind, measured = _("Mind"), _("Measured")
    how = f"{words.string_words(card)} {_(words.MARKS)}"
    cautions = words.cautions(card)
    rows = FIXED_ROWS + TIER_ROWS * len(card.windings) + len(cautions)
    rows += max(len(card.prediction.events), len(card.splits))
    size = LARGEST_PX * min(1.0, SHEET_ROWS / rows)
    return f"""<!doctype html>
<html lang="{language()}" data-unspool="1" style="--size: {size:.1f}px">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(words.whole_title(card))}</title>
<style>{_STYLE}</style>
</head>
<body>
<h1>{name}</h1>
<p class="first">{escape(words.outcome(card))}</p>
<dl>{_facts(card)}</dl>
<h2>{wind}</h2>
{_table(words.WIND_HEADS, words.wind_rows(card), "winds", named=2)}
<p>{escape(how)}</p>
{_strip(on_string, words.string_marks(card))}
<div class="two after">
<section><h2>{run}</h2>
{_table(words.COURSE_HEADS, words.course_rows(card), named=1)}</section>
<section><h2>{splits}</h2>
{_table(words.SPLIT_HEADS, words.split_rows(card), named=1)}</section>
</div>
{_strip(on_track, words.track_marks(card))}
<h2>{mind}</h2>
<ul>{"".join(f"<li>{escape(text)}</li>" for text in cautions)}</ul>
<h2>{measured}</h2>
{_table(words.WRITE_IN, [("",) * len(words.WRITE_IN)] * words.BLANK_RUNS, "blank")}
</body>
</html>
"""


def _facts(card: WindingCard) -> str:
    pairs = (f"<dt>{escape(name)}</dt><dd>{escape(text)}</dd>" for name, text in words.facts(card))
    return "".join(f"<div>{pair}</div>" for pair in pairs)


def _table(
    columns: Sequence[str], rows: Sequence[words.Row], kind: str = "", named: int = 0
) -> str:
    """The first `named` columns are words, the rest numbers."""
    heads = translated(columns)

    def line(cells: Sequence[str], tag: str) -> str:
        classes = [
            'class="name"' if i < named else f'data-head="{escape(heads[i])}"'
            for i in range(len(cells))
        ]
        row = (f"<{tag} {c}>{escape(x)}</{tag}>" for c, x in zip(classes, cells, strict=True))
        return f"<tr>{''.join(row)}</tr>"

    body = "".join(line(row, "td") for row in rows)
    head = line(heads, "th")
    return f'<table class="{kind}"><thead>{head}</thead><tbody>{body}</tbody></table>'


def _strip(name: str, marks: Sequence[tuple[float, str]]) -> str:
    """A bar to scale with a tick and a label for each mark."""
    if not marks:
        return ""
    rows = words.strip_rows(marks)
    height = BAR_PX + ROW_PX * (max(rows, default=-1) + 1) + 4
    drawn = [_tick(share, rows[i] if rows else None) for i, (share, _) in enumerate(marks)]
    drawn += [_label(share, label, row) for (share, label), row in zip(marks, rows, strict=False)]
    return (
        f'<svg viewBox="0 0 {STRIP_PX} {height}" role="img" aria-label="{escape(name)}">'
        f'<rect width="{STRIP_PX}" height="{BAR_PX}" fill="{palette.RULE}"/>{"".join(drawn)}</svg>'
    )


def _tick(share: float, row: int | None) -> str:
    """A line across the bar, and on down to the label's row."""
    x = _place(share)
    end = BAR_PX if row is None else BAR_PX + ROW_PX * (row + 1) - 13
    return f'<path d="M{x:.1f} 0V{end}" stroke="{palette.INK}" stroke-width="2"/>'


def _label(share: float, label: str, row: int) -> str:
    anchor = "end" if share > 0.8 else "start"
    y = BAR_PX + ROW_PX * (row + 1) - 2
    place = f'x="{_place(share):.1f}" y="{y}"'
    return f'<text {place} text-anchor="{anchor}" font-size="13">{escape(label)}</text>'


def _place(share: float) -> float:
    return max(0.0, min(share, 1.0)) * STRIP_PX
