"""Groups of runs over one another: their speeds, and one quantity with its means."""

from __future__ import annotations

import plotly.graph_objects as go

from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.render.words.comparison import mean_words, quantity_name
from unspool.render.words.units import plain, quantity
from unspool.study.compare import AlongTrack, Comparison, Group, GroupSummary, along

ROW_PX = 62
AXIS_PX = 96
DIFFERENCE_PX = 190
# From the line of a group, in rows: its runs above, its mean below.
RUNS, MEAN = -0.14, 0.14


def overlay_figure(comparison: Comparison) -> go.Figure:
    """Speed over distance of every run, a colour and a dash for each group."""
    groups = comparison.groups
    figure = empty_figure("distance (m)", "speed (m/s)", legend_rows=len(groups))
    for i, group in enumerate(groups):
        for j, run in enumerate(group.runs):
            motion = run.reading.motion
            figure.add_trace(
                go.Scatter(
                    x=motion.distance_m,
                    y=motion.speed_m_s,
                    name=plain(group.name),
                    legendgroup=str(i),
                    showlegend=j == 0,
                    mode="lines",
                    line={"color": _colour(i), "width": 2, "dash": _style(i)[1]},
                    hovertemplate=f"{plain(run.name)}<br>%{{x:.2f}} m<br>%{{y:.2f}} m/s"
                    "<extra></extra>",
                )
            )
    figure.update_layout(margin={"t": 12})
    return figure


def beside_figure(comparison: Comparison) -> go.Figure:
    """The runs over one another, and below by how much the groups' mean speeds differ."""
    figure = overlay_figure(comparison)
    below = along(comparison)
    if not below:
        return figure
    figure.update_layout(
        height=figure.layout.height + DIFFERENCE_PX,
        yaxis_domain=[0.45, 1.0],
        xaxis={"anchor": "y2"},
        yaxis2={
            **figure.layout.yaxis.to_plotly_json(),
            "domain": [0.0, 0.36],
            "title": {"text": "difference (m/s)"},
            "rangemode": "normal",
            "zeroline": True,
            "zerolinecolor": palette.INK,
        },
    )
    for i, one in enumerate(below, start=1):
        _difference_line(figure, i, one)
    return figure


def _difference_line(figure: go.Figure, i: int, one: AlongTrack) -> None:
    if one.low_m_s is not None and one.high_m_s is not None:
        figure.add_trace(
            go.Scatter(
                x=[*one.distance_m, *one.distance_m[::-1]],
                y=[*one.high_m_s, *one.low_m_s[::-1]],
                yaxis="y2",
                fill="toself",
                fillcolor=palette.UNSURE,
                opacity=0.5,
                mode="none",
                hoverinfo="skip",
                showlegend=False,
            )
        )
    figure.add_trace(
        go.Scatter(
            x=one.distance_m,
            y=one.apart_m_s,
            yaxis="y2",
            mode="lines",
            line={"color": _colour(i), "width": 2.5, "dash": _style(i)[1]},
            showlegend=False,
            hovertemplate=f"{plain(one.second)} less {plain(one.first)}<br>%{{x:.2f}} m"
            "<br>%{y:+.2f} m/s<extra></extra>",
        )
    )


def spread_figure(comparison: Comparison, key: str) -> go.Figure:
    """A row a group: each run as a dot, and below them the mean with its 95 % interval.

    key is one of docs/formats.md's quantities.
    """
    summaries = [group.summary(key) for group in comparison.groups]
    of = summaries[0].quantity
    figure = empty_figure(f"{quantity_name(of)} ({of.unit})", "", legend_rows=1)
    for i, (group, summary) in enumerate(zip(comparison.groups, summaries, strict=True)):
        _row(figure, i, group, summary)
    figure.update_layout(margin={"t": 12}, height=AXIS_PX + ROW_PX * len(summaries))
    figure.update_layout(showlegend=False)
    figure.update_xaxes(rangemode="normal")
    figure.update_yaxes(
        tickvals=list(range(len(summaries))),
        ticktext=[_folded(group.name) for group in comparison.groups],
        range=[len(summaries) - 0.5, -0.5],
        showgrid=False,
        ticks="",
        showline=False,
    )
    return figure


def _row(figure: go.Figure, i: int, group: Group, summary: GroupSummary) -> None:
    known = [
        (v, run.name) for v, run in zip(summary.values, group.runs, strict=True) if v is not None
    ]
    unit = summary.quantity.unit
    figure.add_trace(
        go.Scatter(
            x=[value for value, _ in known],
            y=[i + RUNS] * len(known),
            text=[f"{plain(name)}<br>{quantity(value, unit, 3)}" for value, name in known],
            mode="markers",
            marker={"symbol": _style(i)[2], "size": 10, "color": _colour(i), "opacity": 0.75},
            hovertemplate="%{text}<extra></extra>",
        )
    )
    _mean(figure, i, summary)


def _mean(figure: go.Figure, i: int, summary: GroupSummary) -> None:
    if summary.mean is None:
        return
    interval = summary.mean.interval
    ends = interval or (summary.mean.value, summary.mean.value)
    figure.add_trace(
        go.Scatter(
            x=[summary.mean.value],
            y=[i + MEAN],
            error_x={
                "type": "data",
                "array": [ends[1] - summary.mean.value],
                "arrayminus": [summary.mean.value - ends[0]],
                "color": _colour(i),
                "thickness": 3,
                "width": 7,
                "visible": interval is not None,
            },
            mode="markers",
            marker={
                "symbol": "line-ns",
                "size": 18,
                "line": {"color": _colour(i), "width": 4},
            },
            hovertemplate=f"mean {mean_words(summary)}<extra></extra>",
        )
    )


def _style(i: int) -> tuple[str, str, str]:
    """The seventh group looks like the first again; only its name differs."""
    return palette.GROUPS[i % len(palette.GROUPS)]


def _colour(i: int) -> str:
    return _style(i)[0]


def _folded(name: str) -> str:
    """A group's name on lines short enough for a phone."""
    return plain(name).replace(" + ", "<br>+ ")
