"""Pictures of a sweep: what each set achieves, and what limits it."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from unspool.language import _, later
from unspool.model.number import Floats, Indices
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.render.figures.gallery import CaptionedFigure
from unspool.render.words.sweep import (
    LIMIT_WORDS,
    axis_title,
    axis_words,
    score_title,
    shown,
    shown_score,
)
from unspool.render.words.units import plain
from unspool.render.words.values import listed
from unspool.study.plan import Aim
from unspool.study.sweep import Axis, Sweep
from unspool.study.sweep.types import LIMITS

# From the worst to the best: light to dark, so that it reads without hue.
_SCALE = [[0.0, "#f2f5fa"], [0.5, "#7fa3d1"], [1.0, "#08346c"]]
_COLOURS = ("#b03a00", "#7a1f5c", "#8a5a00", "#3d4a9e", "#5b626b", "#c9d6ea", "#e8f3ee")
_LETTERS_UP_TO = 900  # cells; more are too small for a letter


def sweep_figures(sweep: Sweep) -> list[CaptionedFigure]:
    """Over the two ranges that matter most, with the best of the others at each place."""
    hidden = (axis for i, axis in enumerate(sweep.axes) if i not in sweep.shown_axes)
    others = tuple(axis_words(axis) for axis in hidden)
    said = [_("The stronger the colour, the better.")]
    if others:
        said.append(_("At each place the best is taken of {others}.", others=listed(others)))
    return [
        CaptionedFigure(later("sweep"), sweep_figure(sweep), " ".join(said)),
        CaptionedFigure(later("limits"), limits_figure(sweep), _("What limits each set.")),
    ]


def sweep_figure(sweep: Sweep) -> go.Figure:
    """What each set achieves: a line over one range, a map over two."""
    if len(sweep.axes) == 1:
        return _line(sweep)
    score, _limit = sweep.best_over(sweep.shown_axes)
    figure = _map(sweep, score, _hover(sweep))
    _outline(figure, sweep, score)
    _mark_best(figure, sweep)
    return figure


def limits_figure(sweep: Sweep) -> go.Figure:
    """What limits each set, a colour and a letter each."""
    if len(sweep.axes) == 1:
        return _strip(sweep)
    _score, limit = sweep.best_over(sweep.shown_axes)
    x, y = _values(sweep, 0), _values(sweep, 1)
    figure = _limit_map(sweep, x, y, limit)
    figure.update_yaxes(title={"text": plain(axis_title(_axis(sweep, 1)))}, rangemode="normal")
    _mark_best(figure, sweep)
    return figure


def _axis(sweep: Sweep, place: int) -> Axis:
    """The axis to the right (0), or upwards (1)."""
    return sweep.axes[sweep.shown_axes[place]]


def _values(sweep: Sweep, place: int) -> Floats:
    axis = _axis(sweep, place)
    return np.array([shown(axis, value) for value in axis.values])


def _readable(sweep: Sweep, score: Floats) -> Floats:
    """Scores as people read them; NaN for a set that is not possible."""
    sign = 1.0 if sweep.goal.aim is Aim.FARTHEST else -1.0
    return np.where(np.isfinite(score), sign * score, np.nan)


def _line(sweep: Sweep) -> go.Figure:
    figure = empty_figure(plain(axis_title(_axis(sweep, 0))), plain(score_title(sweep)))
    figure.add_trace(
        go.Scatter(
            x=_values(sweep, 0),
            y=_readable(sweep, sweep.score),
            mode="lines+markers",
            line={"color": palette.MEASURED, "width": 3},
            marker={"size": 7},
            hovertemplate="%{x:.1f}: %{y:.2f}<extra></extra>",
            name=_("best winding"),
        )
    )
    best = shown_score(sweep, float(np.max(sweep.score)))
    place = shown(_axis(sweep, 0), sweep.best.values[0])
    figure.add_trace(_star([place], [best]))
    figure.update_xaxes(rangemode="normal")
    figure.update_layout(margin={"t": 12}, showlegend=False)
    return figure


def _map(sweep: Sweep, score: Floats, hover: str) -> go.Figure:
    figure = empty_figure(plain(axis_title(_axis(sweep, 0))), plain(axis_title(_axis(sweep, 1))))
    figure.add_trace(
        go.Heatmap(
            x=_values(sweep, 0),
            y=_values(sweep, 1),
            z=_readable(sweep, score).T,
            colorscale=_SCALE,
            reversescale=sweep.goal.aim is not Aim.FARTHEST,
            colorbar={"title": {"text": plain(score_title(sweep))}, "outlinewidth": 0},
            hovertemplate=hover,
        )
    )
    figure.update_xaxes(range=_ends(_values(sweep, 0)), showgrid=False)
    figure.update_yaxes(range=_ends(_values(sweep, 1)), showgrid=False)
    figure.update_layout(margin={"t": 12}, showlegend=False, plot_bgcolor=palette.RULE)
    return figure


def _ends(values: Floats) -> list[float]:
    """From the edge of the first cell to that of the last."""
    first, last = 0.5 * (values[1] - values[0]), 0.5 * (values[-1] - values[-2])
    return [float(values[0] - first), float(values[-1] + last)]


def _hover(sweep: Sweep) -> str:
    x, y = (plain(axis_words(_axis(sweep, place))) for place in (0, 1))
    return f"{x} %{{x:.1f}}, {y} %{{y:.1f}}: %{{z:.2f}}<extra></extra>"


def _outline(figure: go.Figure, sweep: Sweep, score: Floats) -> None:
    """The line about all that is within 1 % of the best."""
    least = sweep.goal.nearly(float(np.max(sweep.score)))
    figure.add_trace(
        go.Contour(
            x=_values(sweep, 0),
            y=_values(sweep, 1),
            z=np.where(np.isfinite(score), score, least - 1.0).T,
            contours={"start": least, "end": least, "size": 1.0, "coloring": "lines"},
            colorscale=[[0.0, palette.FOUND], [1.0, palette.FOUND]],
            line={"width": 3},
            showscale=False,
            hoverinfo="skip",
        )
    )


def _star(x: list[float], y: list[float]) -> go.Scatter:
    return go.Scatter(
        x=x,
        y=y,
        mode="markers",
        marker={"symbol": "star", "size": 18, "color": palette.FOUND,
                "line": {"color": palette.PAPER, "width": 2}},
        hovertemplate=_("the best set") + "<extra></extra>",
        showlegend=False,
    )  # fmt: skip


def _mark_best(figure: go.Figure, sweep: Sweep) -> None:
    x, y = (shown(sweep.axes[i], sweep.best.values[i]) for i in sweep.shown_axes)
    figure.add_trace(_star([x], [y]))


def _strip(sweep: Sweep) -> go.Figure:
    figure = _limit_map(sweep, _values(sweep, 0), np.zeros(1), sweep.limit[:, None])
    figure.update_yaxes(visible=False)
    return figure


def _limit_map(sweep: Sweep, x: Floats, y: Floats, limit: Indices) -> go.Figure:
    present = [i for i in range(len(LIMITS)) if np.any(limit == i)]
    figure = empty_figure(plain(axis_title(_axis(sweep, 0))), "", legend_rows=len(present))
    letters = np.array([LIMIT_WORDS[name][0] for name in LIMITS])[limit]
    step = 1.0 / len(_COLOURS)
    scale = [[edge, colour] for i, colour in enumerate(_COLOURS)
             for edge in (i * step, (i + 1) * step)]  # fmt: skip
    figure.add_trace(
        go.Heatmap(
            x=x, y=y, z=limit.T, zmin=-0.5, zmax=len(LIMITS) - 0.5, colorscale=scale,
            showscale=False, text=letters.T, hovertemplate="%{text}<extra></extra>",
            texttemplate="%{text}" if limit.size <= _LETTERS_UP_TO else None,
        )
    )  # fmt: skip
    for i in present:
        letter, words = LIMIT_WORDS[LIMITS[i]]
        figure.add_trace(
            go.Scatter(
                x=[None], y=[None], mode="markers", name=f"{letter}  {_(words)}",
                marker={"symbol": "square", "size": 14, "color": _COLOURS[i],
                        "line": {"color": palette.INK, "width": 1}},
            )
        )  # fmt: skip
    figure.update_xaxes(range=_ends(x), showgrid=False)
    figure.update_layout(margin={"t": 12}, legend={"orientation": "v"})
    return figure
