"""Groups of runs over one another: their speeds, and one quantity with its means."""

from __future__ import annotations

import plotly.graph_objects as go

from unspool.language import _
from unspool.render.figures import palette
from unspool.render.figures.frame import LEGEND_ROW_PX, PLOT_PX, empty_figure
from unspool.render.words.comparison import mean_words, quantity_name
from unspool.render.words.side_by_side import lettered, short_names
from unspool.render.words.units import plain, quantity
from unspool.study.compare import AlongTrack, Comparison, Group, GroupSummary, along

ROW_PX = 62
AXIS_PX = 96
DIFFERENCE_PX = 190
LEGEND_COLUMNS = 3  # on a phone, with names such as "B 12th"
# From the line of a group, in rows: its runs above, its mean below.
RUNS, MEAN = -0.14, 0.14


def overlay_figure(comparison: Comparison) -> go.Figure:
    """Speed over distance of every attempt, each with its own colour and dash.

    Its name in the legend begins with its group's letter. The legend stands above, where a phone
    shows it with the lines.
    """
    groups = comparison.groups
    runs = [(letter, run) for letter, group in lettered(groups) for run in group.runs]
    short = short_names([run.name for _letter, run in runs])
    rows = -(-len(runs) // LEGEND_COLUMNS)
    figure = empty_figure(_("distance (m)"), _("speed (m/s)"))
    for i, ((letter, run), name) in enumerate(zip(runs, short, strict=True)):
        colour, dash = line_style(i)
        figure.add_trace(
            go.Scatter(
                x=run.reading.motion.distance_m,
                y=run.reading.motion.speed_m_s,
                name=plain(f"{letter} {name}".strip()),
                mode="lines",
                line={"color": colour, "width": 2, "dash": dash},
                hovertemplate=f"{plain(run.name)}<br>%{{x:.2f}} m<br>%{{y:.2f}} m/s<extra></extra>",
            )
        )
    figure.update_layout(
        showlegend=True,
        margin={"t": 12 + LEGEND_ROW_PX * rows},
        height=PLOT_PX + LEGEND_ROW_PX * rows,
        legend={"yanchor": "top", "y": 1.0},
    )
    return figure


def line_style(i: int) -> tuple[str, str]:
    """Colour and dash of the i-th line. The first 36 differ, six by six in both."""
    count = len(palette.GROUPS)
    return palette.GROUPS[i % count][0], palette.GROUPS[(i + i // count) % count][1]


def beside_figure(comparison: Comparison) -> go.Figure:
    """The attempts over one another, and below by how much the groups' mean speeds differ."""
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
            "title": {"text": _("difference (m/s)")},
            "rangemode": "normal",
            "zeroline": True,
            "zerolinecolor": palette.INK,
        },
    )
    letters = {group.name: letter for letter, group in lettered(comparison.groups)}
    for i, one in enumerate(below, start=1):
        _difference_line(figure, i, one)
        _name_line(figure, i, one, _less(letters[one.second], letters[one.first]))
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
            hovertemplate=plain(_less(one.second, one.first))
            + "<br>%{x:.2f} m<br>%{y:+.2f} m/s<extra></extra>",
        )
    )


def _less(second: str, first: str) -> str:
    return _("{second} less {first}", second=second, first=first)


def _name_line(figure: go.Figure, i: int, one: AlongTrack, words: str) -> None:
    """The line's name beside it, each further along than the one before."""
    at = min((i + 2) * len(one.distance_m) // 8, len(one.distance_m) - 1)
    figure.add_annotation(
        x=one.distance_m[at],
        y=one.apart_m_s[at],
        yref="y2",
        text=plain(words),
        showarrow=False,
        yshift=11,
        font={"color": _colour(i), "size": 13},
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
            x=[value for value, _name in known],
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
            hovertemplate=_("mean {value}", value=mean_words(summary)) + "<extra></extra>",
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
