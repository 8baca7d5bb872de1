"""A roll-out as figures and one self-contained page."""

from __future__ import annotations

from html import escape

import plotly.graph_objects as go

from unspool.render.figures import palette
from unspool.render.figures.details import slots_figure
from unspool.render.figures.frame import empty_figure
from unspool.render.figures.gallery import CaptionedFigure
from unspool.render.html.page import figures, table, whole_page
from unspool.render.words.findings import sentence
from unspool.render.words.rollout import (
    PUSH_HEAD,
    between,
    car_file_lines,
    millimetres,
    push_rows,
)
from unspool.render.words.units import plain
from unspool.study.rollout import RollOut

ROW_PX = 44
AXIS_PX = 110
RING_TURNS = 2.0  # that the wheel must have turned to show its slots


def pushes_figure(out: RollOut) -> go.Figure:
    """Each push's circumference with its interval, all together, and the car file's."""
    figure = empty_figure("circumference (mm)", "")
    rows = [(p.push.name, p.circumference_m, bool(p.left_out)) for p in out.pushes]
    for i, (name, found, odd) in enumerate([*rows, ("together", out.circumference_m, False)]):
        last = i == len(rows)
        colour = palette.EXPECTED if odd else palette.FOUND if last else palette.MEASURED
        figure.add_trace(
            go.Scatter(
                x=[1e3 * found.value],
                y=[i],
                error_x={
                    "type": "data",
                    "array": [1e3 * (found.high - found.value)],
                    "arrayminus": [1e3 * (found.value - found.low)],
                    "color": colour,
                    "thickness": 3,
                    "width": 7,
                },
                mode="markers",
                marker={"size": 11, "color": colour, "symbol": "diamond" if last else "circle"},
                hovertemplate=f"{plain(name)}<br>{millimetres(found.value)}<extra></extra>",
                showlegend=False,
            )
        )
    _car_files(figure, out)
    names = [name + (" (left out)" if odd else "") for name, _, odd in rows]
    figure.update_layout(height=AXIS_PX + ROW_PX * (len(rows) + 1), margin={"t": 34})
    figure.update_xaxes(rangemode="normal")
    figure.update_yaxes(
        tickvals=list(range(len(rows) + 1)),
        ticktext=[plain(name) for name in (*names, "together")],
        range=[len(rows) + 0.5, -0.5],
        showgrid=False,
        ticks="",
        showline=False,
    )
    return figure


def _car_files(figure: go.Figure, out: RollOut) -> None:
    figure.add_vline(
        x=1e3 * out.nominal_m,
        line={"color": palette.EXPECTED, "width": 2, "dash": "dash"},
        annotation={"text": "car file", "font": {"color": palette.EXPECTED, "size": 13}},
        annotation_position="top",
    )


def rollout_page(out: RollOut) -> str:
    """One self-contained page of HTML."""
    title = escape(f"{out.car}, roll-out of wheel {out.wheel}")
    found = out.circumference_m
    items = "".join(
        f"<li><b>{escape(one.severity)}:</b> {escape(sentence(one))}</li>" for one in out.findings
    )
    parts = [
        f"<h1>{title}</h1>",
        f"<p>Circumference {millimetres(found.value)} ({between(found)}).</p>",
        f"<p>{escape(sentence(out.verdict))}</p>",
        f"<ul>{items}</ul>" if items else "",
        *figures(_pictures(out), (out.car, "roll-out", out.wheel)),
        table("Pushes", PUSH_HEAD, push_rows(out)),
        f"<pre>{escape(chr(10).join(car_file_lines(out)))}</pre>",
    ]
    return whole_page(title, parts)


def _pictures(out: RollOut) -> list[CaptionedFigure]:
    shown = [
        CaptionedFigure(
            "pushes",
            pushes_figure(out),
            "What each push says by itself and all together; bars are 90 % intervals. Dashed: the "
            "car file's circumference.",
        )
    ]
    longest = max(out.pushes, key=lambda push: push.travel.slots).travel
    if longest.slots > RING_TURNS * out.edges_per_turn:
        caption = "The disc's slots, wider or narrower than even, as the longest push shows them."
        shown.append(CaptionedFigure("slots", slots_figure(longest.pattern), caption))
    return shown
