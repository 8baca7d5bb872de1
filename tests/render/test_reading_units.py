"""Words and pictures in feet, inches and ounces."""

from __future__ import annotations

import plotly.graph_objects as go
import pytest

from unspool.render.figures.frame import empty_figure
from unspool.render.figures.reading_units import in_reading_units
from unspool.render.words.reading_units import ReadingUnits, reading_in
from unspool.render.words.units import between, plus_minus, quantity, signed, sized, with_sd


def test_quantities_are_read_in_feet() -> None:
    with reading_in(ReadingUnits.FEET):
        said = [
            quantity(3.048, "m"), quantity(254.0, "mm", 0), signed(-0.3048, "m"),
            between(0.3048, 0.6096, "m"), sized(453.59237, "g"), quantity(3.0, "s"),
            with_sd(0.3048, 0.1 * 0.3048 / 1.96, "m"), plus_minus(0.3048, 0.03048, "m", 2),
        ]  # fmt: skip
    assert [one.replace("\u00a0", " ") for one in said] == [
        "10.00 ft", "10.00 in", "\u22121.00 ft", "1.00\u20132.00 ft", "16 oz", "3.00 s",
        "1.00 ± 0.10 ft", "1.00 ± 0.10 ft",
    ]  # fmt: skip
    assert quantity(3.048, "m") == "3.05\u00a0m"


def _picture() -> go.Figure:
    figure = empty_figure("distance (m)", "height (mm)")
    hover = "%{x:.2f} m<br>%{y:.1f} mm<extra></extra>"
    figure.add_scatter(x=[0.0, 3.048], y=[0.0, 25.4], hovertemplate=hover)
    figure.add_shape(type="line", x0=0.3048, x1=0.3048, y0=0, y1=1, yref="paper")
    figure.add_annotation(x=0.6096, y=1, yref="paper", text="release")
    return figure.update_xaxes(range=[0.0, 6.096])


def test_a_picture_is_read_in_feet() -> None:
    made = _picture()
    with reading_in(ReadingUnits.FEET):
        shown = in_reading_units(made)
    assert (shown.layout.xaxis.title.text, shown.layout.yaxis.title.text) == (
        "distance (ft)", "height (in)",
    )  # fmt: skip
    (trace,), (shape,), (word,) = shown.data, shown.layout.shapes, shown.layout.annotations
    assert list(trace.x) == pytest.approx([0.0, 10.0])
    assert list(trace.y) == pytest.approx([0.0, 1.0])
    assert trace.hovertemplate == "%{x:.2f} ft<br>%{y:.1f} in<extra></extra>"
    assert (shape.x0, shape.x1, shape.y1) == (pytest.approx(1.0), pytest.approx(1.0), 1)
    assert (word.x, word.y) == (pytest.approx(2.0), 1)
    assert list(shown.layout.xaxis.range) == pytest.approx([0.0, 20.0])
    assert list(made.data[0].x) == [0.0, 3.048]


def test_a_picture_for_metric_readers_is_the_same_object() -> None:
    made = _picture()
    assert in_reading_units(made) is made


def test_names_on_an_axis_and_maps_are_read_too() -> None:
    bars = empty_figure("farther (m)", "").add_bar(orientation="h", y=["drop"], x=[0.3048])
    sweep = empty_figure("weight (g)", "drop (mm)")
    bar = {"title": {"text": "distance (m)"}}
    sweep.add_heatmap(x=[453.59237], y=[25.4], z=[[3.048]], colorbar=bar)
    with reading_in(ReadingUnits.FEET):
        (shown,), (map_,) = in_reading_units(bars).data, in_reading_units(sweep).data
    assert (list(shown.y), list(shown.x)) == (["drop"], [pytest.approx(1.0)])
    assert (map_.x[0], map_.y[0]) == (pytest.approx(16.0), pytest.approx(1.0))
    assert map_.z[0][0] == pytest.approx(10.0)
    assert map_.colorbar.title.text == "distance (ft)"
