"""Where the energy went: from what was stored down to nothing, one loss a row."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from unspool.language import _
from unspool.model.outcome import EnergyLedger
from unspool.render.figures import palette
from unspool.render.figures.frame import empty_figure
from unspool.render.words.energy import ledger_entries
from unspool.render.words.units import UNKNOWN, quantity

# Share of the stored energy that is wide enough for a figure on a phone.
FITS = 0.5


@dataclass(frozen=True)
class EnergyStep:
    """One row: the bar runs from start_j to end_j; joules is None if it is not known.

    field: of the ledger.
    """

    field: str
    name: str
    start_j: float
    end_j: float
    joules: float | None


def energy_steps(ledger: EnergyLedger) -> list[EnergyStep]:
    """The ledger as rows, each starting where the one above ended."""
    steps = [EnergyStep("stored", _("stored"), 0.0, ledger.stored, ledger.stored)]
    at = ledger.stored
    for field, name, joules in ledger_entries(ledger):
        after = at - (joules or 0.0)
        steps.append(EnergyStep(field, name, at, after, joules))
        at = after
    return steps


def energy_figure(ledger: EnergyLedger) -> go.Figure:
    """A waterfall from top to bottom, which also fits a narrow screen."""
    steps = energy_steps(ledger)
    figure = empty_figure(_("energy (J)"), "")
    figure.add_trace(
        go.Bar(
            orientation="h",
            y=[s.name for s in steps],
            base=[s.start_j for s in steps],
            x=[s.end_j - s.start_j for s in steps],
            text=[_label(s, ledger.stored) for s in steps],
            textposition="none",
            hovertemplate="%{y}: %{text}<extra></extra>",
            marker={"color": [_colour(s) for s in steps], "cornerradius": 2},
            showlegend=False,
        )
    )
    for step in steps:
        _write_beside(figure, step, ledger.stored)
    figure.update_yaxes(autorange="reversed", showgrid=False, ticks="", showline=False)
    figure.update_xaxes(range=_range(steps))
    figure.update_layout(margin={"t": 12}, bargap=0.28)
    return figure


def _range(steps: list[EnergyStep]) -> list[float]:
    ends = [s.end_j for s in steps]
    top = max(*ends, 0.01)
    return [min(0.0, *ends) - 0.02 * top, 1.04 * top]


def _write_beside(figure: go.Figure, step: EnergyStep, stored: float) -> None:
    """The figure in its bar if it fits, otherwise beside it on the side that has room."""
    left, right = sorted((step.start_j, step.end_j))
    inside = right - left > FITS * stored
    before = not inside and left > FITS * stored
    figure.add_annotation(
        x=left if before else right,
        y=step.name,
        text=_label(step, stored),
        showarrow=False,
        xanchor="right" if inside or before else "left",
        xshift=-8 if inside or before else 8,
        font={"color": palette.PAPER if inside else palette.INK, "size": 13},
    )


def _label(step: EnergyStep, stored: float) -> str:
    if step.joules is None:
        return _(UNKNOWN)
    share = f" ({quantity(100.0 * step.joules / stored, '%', 0)})" if stored > 0.0 else ""
    return quantity(step.joules, "J") + share


def _colour(step: EnergyStep) -> str:
    if step.field == "stored":
        return palette.GAINED
    return palette.UNEXPLAINED if step.field == "unexplained" else palette.SPENT
