"""Where the energy went: from what was stored down to nothing, one loss a row."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from unspool.model.outcome import EnergyLedger
from unspool.render.figures import palette
from unspool.render.figures.frame import framed
from unspool.render.words.units import UNKNOWN, quantity

# (field of the ledger, its name on the page)
LOSSES = (
    ("left_in_weight", "left in the weight"),
    ("drive", "lost in the drive"),
    ("catches", "lost at tier changes"),
    ("landing", "lost as the weight lands"),
    ("rolling", "rolling"),
    ("air", "air"),
    ("grade", "climbing"),
    ("kinetic", "kept as speed"),
    ("unexplained", "not explained"),
)

# Share of the stored energy that is wide enough for a figure on a phone.
FITS = 0.5


@dataclass(frozen=True)
class Step:
    """One row: the bar runs from start_j to end_j; joules is None if it is not known."""

    name: str
    start_j: float
    end_j: float
    joules: float | None


def ledger_rows(ledger: EnergyLedger) -> list[tuple[str, float | None]]:
    """Each loss by name in J; kept speed is shown only for a car that nothing stops."""
    rows = [(field, name, getattr(ledger, field)) for field, name in LOSSES]
    return [(name, joules) for field, name, joules in rows if field != "kinetic" or joules]


def energy_steps(ledger: EnergyLedger) -> list[Step]:
    """The ledger as rows, each starting where the one above ended."""
    steps = [Step("stored", 0.0, ledger.stored, ledger.stored)]
    at = ledger.stored
    for name, joules in ledger_rows(ledger):
        after = at - (joules or 0.0)
        steps.append(Step(name, at, after, joules))
        at = after
    return steps


def energy_figure(ledger: EnergyLedger) -> go.Figure:
    """A waterfall from top to bottom, which also fits a narrow screen."""
    steps = energy_steps(ledger)
    figure = framed("energy (J)", "")
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


def _range(steps: list[Step]) -> list[float]:
    ends = [s.end_j for s in steps]
    top = max(*ends, 0.01)
    return [min(0.0, *ends) - 0.02 * top, 1.04 * top]


def _write_beside(figure: go.Figure, step: Step, stored: float) -> None:
    """The figure in its bar where it fits, else beside it on the side that has room."""
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


def _label(step: Step, stored: float) -> str:
    if step.joules is None:
        return UNKNOWN
    share = f" ({quantity(100.0 * step.joules / stored, '%', 0)})" if stored > 0.0 else ""
    return quantity(step.joules, "J") + share


def _colour(step: Step) -> str:
    if step.name == "stored":
        return palette.GAINED
    return palette.UNEXPLAINED if step.name == "not explained" else palette.SPENT
