"""What one change of the car would gain: a bar each way for each, the longest on top."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from unspool.language import _
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.render.words.plan import change_name, gain_words
from unspool.render.words.units import plain, signed

if TYPE_CHECKING:
    from unspool.study.plan import Plan

ROW_PX = 34
AXIS_PX = 130


def tornado_figure(plan: Plan) -> go.Figure:
    """Bars from the planned run to the left and right, by what each change does to the goal.

    A tenth less and a tenth more differ by filling as well as by colour.
    """
    figure = empty_figure(gain_words(plan.goal), "", legend_rows=1)
    names = [plain(change_name(change)) for change in plan.changes]
    ways = (
        (_("10 % less"), palette.SPENT, "/", [change.less for change in plan.changes]),
        (_("10 % more"), palette.GAINED, "", [change.more for change in plan.changes]),
    )
    for word, colour, hatch, values in ways:
        figure.add_trace(
            go.Bar(
                orientation="h",
                name=word,
                y=names,
                x=values,
                customdata=[_effect(value, plan.goal.unit) for value in values],
                hovertemplate=f"%{{y}}, {word}: %{{customdata}}<extra></extra>",
                marker={"color": colour, "pattern": _pattern(hatch, colour)},
            )
        )
    figure.update_layout(barmode="overlay", bargap=0.3, margin={"t": 12})
    figure.update_layout(height=AXIS_PX + ROW_PX * max(len(names), 1))
    figure.update_yaxes(autorange="reversed", showgrid=False, ticks="", showline=False)
    figure.update_xaxes(rangemode="normal", zeroline=True, zerolinecolor=palette.INK)
    return figure


def _pattern(hatch: str, colour: str) -> dict[str, object]:
    return {"shape": hatch, "bgcolor": colour, "fgcolor": palette.PAPER, "solidity": 0.25}


def _effect(value: float | None, unit: str) -> str:
    return _("not possible") if value is None else signed(value, unit)
