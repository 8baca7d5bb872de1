"""A roll-out as rows of words, lines for the car file, pictures and a page."""

from __future__ import annotations

from html import escape

import plotly.graph_objects as go

from unspool.pictures import palette
from unspool.pictures.closer import ring_of
from unspool.pictures.frame import framed
from unspool.pictures.gallery import Captioned
from unspool.pictures.page import figures, table, whole_page
from unspool.pictures.rows import Row
from unspool.pictures.units import plain, quantity
from unspool.rollout import RolledPush, RollOut
from unspool.rollout.words import between, millimetres

PUSH_HEAD = ("push", "length", "turns", "circumference", "90 % between", "and")
ROW_PX = 44
AXIS_PX = 110
RING_TURNS = 2.0  # that the wheel must have turned for its slots to be told


def push_rows(out: RollOut) -> list[Row]:
    """The columns of PUSH_HEAD."""
    return [_push_row(push, out) for push in out.pushes]


def _push_row(rolled: RolledPush, out: RollOut) -> Row:
    found = rolled.circumference_m
    ends = (quantity(1e3 * end, "mm", 1) for end in (found.value, found.low, found.high))
    turns = quantity(rolled.travel.slots / out.edges_per_turn, "", 2)
    return rolled.push.name, quantity(rolled.push.length_m, "m", 3), turns, *ends


def car_file_lines(out: RollOut) -> list[str]:
    """What to write into the car file, as TOML; a sentence why not where nothing is to be."""
    if out.proposed_m is None:
        return ["nothing to write into the car file until this is cleared up"]
    lines = ["in the car file:", ""]
    if out.proposed_edges != out.edges_per_turn:
        lines += ["[encoder]", f"pulses_per_turn = {out.proposed_edges}", ""]
    value = f"rolling_circumference_mm = {1e3 * out.proposed_m.value:.1f}"
    return [
        *lines,
        f"[[wheels]]  # the one with name = {toml_text(out.wheel)}",
        f"{value}  # roll-out: {between(out.proposed_m)}",
    ]


def toml_text(text: str) -> str:
    """A TOML basic string; names hold no control characters."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def pushes_picture(out: RollOut) -> go.Figure:
    """Each push's circumference with its interval, all together, and the car file's."""
    figure = framed("circumference (mm)", "")
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
    remarks = "".join(
        f"<li><b>{escape(one.severity)}:</b> {escape(one.text)}</li>" for one in out.remarks
    )
    parts = [
        f"<h1>{title}</h1>",
        f"<p>Circumference {millimetres(found.value)} ({between(found)}).</p>",
        f"<p>{escape(out.text[:1].upper() + out.text[1:])}.</p>",
        f"<ul>{remarks}</ul>" if remarks else "",
        *figures(_pictures(out), (out.car, "roll-out", out.wheel)),
        table("Pushes", PUSH_HEAD, push_rows(out)),
        f"<pre>{escape(chr(10).join(car_file_lines(out)))}</pre>",
    ]
    return whole_page(title, parts)


def _pictures(out: RollOut) -> list[Captioned]:
    shown = [
        Captioned(
            "pushes",
            pushes_picture(out),
            "What each push says by itself and all together; bars are 90 % intervals. Dashed: the "
            "car file's circumference.",
        )
    ]
    longest = max(out.pushes, key=lambda push: push.travel.slots).travel
    if longest.slots > RING_TURNS * out.edges_per_turn:
        caption = "The disc's slots, wider or narrower than even, as the longest push tells them."
        shown.append(Captioned("slots", ring_of(longest.pattern), caption))
    return shown
