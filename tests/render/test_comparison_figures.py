"""Pictures of groups show each run where it is, and nothing that a name smuggles in."""

from __future__ import annotations

import numpy as np
import pytest

from study.compare.compared import ran
from unspool.render.figures.comparison import (
    beside_figure,
    line_style,
    overlay_figure,
    spread_figure,
)
from unspool.study.compare import Comparison, compare

HOSTILE = "<img src=x onerror=alert(1)>"


def _comparison(hostile: bool = False) -> Comparison:
    name = HOSTILE if hostile else "run 1"
    three = [ran(name, 12.0), ran("run 2", 14.0), ran("run 3", 16.0)]
    return compare([*three, ran("run 4", 20.0, (1.5, 8.5))])


def test_every_attempt_has_its_own_line_and_its_groups_letter() -> None:
    comparison = _comparison()
    figure = overlay_figure(comparison)
    styles = {(trace.line.color, trace.line.dash) for trace in figure.data}
    assert len(styles) == len({trace.line.dash for trace in figure.data}) == 4
    assert [trace.name[0] for trace in figure.data] == ["A", "A", "A", "B"]
    assert figure.layout.showlegend
    drawn = comparison.groups[0].runs[0].reading.motion
    np.testing.assert_array_equal(figure.data[0].x, drawn.distance_m)


def test_the_first_36_lines_differ() -> None:
    assert len({line_style(i) for i in range(36)}) == 36


def test_the_lower_lines_bear_the_letters_of_their_groups() -> None:
    runs = [ran(f"run {i}", 12.0 + i, (1.0 + i, 5.0)) for i in range(3)]
    words = [one.text for one in beside_figure(compare(runs)).layout.annotations]
    assert words == ["B less A", "C less A"]


def test_dots_are_runs_and_the_bar_is_the_interval() -> None:
    """12, 14, 16: 14 ± 4.97; the group of one has a dot and no bar."""
    dots, mean, lone, lone_mean = spread_figure(_comparison(), "distance_m").data
    assert list(dots.x) == [12.0, 14.0, 16.0]
    assert mean.x[0] == pytest.approx(14.0)
    assert mean.error_x.array[0] == pytest.approx(4.97, abs=0.01)
    assert mean.error_x.visible
    assert list(lone.x) == [20.0]
    assert not lone_mean.error_x.visible


@pytest.mark.parametrize("picture", [overlay_figure, lambda c: spread_figure(c, "distance_m")])
def test_names_stay_text(picture: object) -> None:
    assert callable(picture)
    written = picture(_comparison(hostile=True)).to_json()
    assert "<img" not in written.replace("\\u003c", "<")


def test_a_seventh_group_is_drawn_too() -> None:
    runs = [ran(f"run {i}", 12.0 + i, (1.0 + i, 5.0)) for i in range(7)]
    assert len(overlay_figure(compare(runs)).data) == 7
