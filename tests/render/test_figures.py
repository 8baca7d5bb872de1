"""Pictures show the numbers they were given, and nothing that a name smuggles in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import plotly.graph_objects as go
import pytest

import sample_run
from unspool.model.outcome import EnergyLedger, EventKind
from unspool.render.figures.energy import energy_figure, energy_steps
from unspool.render.figures.frame import label_rows
from unspool.render.figures.speed import live_figure, speed_figure
from unspool.render.figures.stretches import stretches_figure
from unspool.render.words.events import marked

HOSTILE = "<img src=x onerror=alert(1)>"


def _trace(figure: go.Figure, name: str) -> go.Scatter:
    return next(t for t in figure.data if t.name == name)


def _texts(figure: go.Figure) -> list[str]:
    return [a.text for a in figure.layout.annotations]


def test_speed_shows_measured_expected_and_both_kinds_of_event() -> None:
    reading = sample_run.sample_reading()
    figure = speed_figure(reading)
    assert np.array_equal(_trace(figure, "measured").y, reading.motion.speed_m_s)
    assert np.array_equal(_trace(figure, "expected").x, reading.prediction.curve.distance_m)
    assert list(_trace(figure, "expected events").x) == pytest.approx(
        [1.36, 3.43, 12.5467], abs=1e-3
    )
    assert _texts(figure) == ["to\u00a0run", "release", "stop"]
    assert [s.x0 for s in figure.layout.shapes] == pytest.approx([1.38, 3.45, 12.5667], abs=1e-3)


def test_a_tier_that_was_not_wound_gets_no_mark() -> None:
    unwound = replace(sample_run.sample_events()[1], distance_m=0.0)
    assert marked([*sample_run.sample_events(), unwound]) == list(sample_run.sample_events()[1:])


def test_every_axis_names_its_unit() -> None:
    reading = sample_run.sample_reading()
    for figure in (speed_figure(reading), stretches_figure(reading), live_figure(None)):
        assert "(m" in figure.layout.xaxis.title.text
        assert "(m" in figure.layout.yaxis.title.text
    assert "(J)" in energy_figure(reading.energy).layout.xaxis.title.text


def test_a_stretch_is_a_line_of_twice_its_acceleration() -> None:
    figure = stretches_figure(sample_run.sample_reading())
    start = figure.data[1]
    assert (start.y[1] - start.y[0]) / (start.x[1] - start.x[0]) == pytest.approx(2 * 0.5)
    assert start.y[0] == pytest.approx(0.0, abs=0.01)
    assert start.name == "start: 0.500\u00a0±\u00a00.008\u00a0m/s²"


def test_a_picture_without_prediction_still_has_its_two_lines() -> None:
    figure = live_figure(None)
    assert [t.name for t in figure.data] == ["expected", "measured"]
    assert list(figure.layout.xaxis.range) == [0.0, 10.0]


def test_the_live_axes_stay_fixed_and_make_room_for_a_longer_run() -> None:
    prediction = sample_run.sample_prediction(furthest_m=10.0, peak_speed_m_s=2.0)
    assert list(live_figure(prediction).layout.xaxis.range) == pytest.approx([0.0, 11.2])
    assert list(live_figure(prediction).layout.yaxis.range) == pytest.approx([0.0, 2.5])
    assert list(live_figure(prediction, reach_m=15.0).layout.xaxis.range) == [0.0, 15.0]


def test_names_from_files_stay_text() -> None:
    events = tuple(
        replace(e, to_tier=HOSTILE) if e.kind is EventKind.TIER_CHANGE else e
        for e in sample_run.sample_events()
    )
    stretches = (replace(sample_run.sample_reading().stretches[0], tier=HOSTILE),)
    prediction = sample_run.sample_prediction(events=events)
    reading = sample_run.sample_reading(events=events, stretches=stretches, prediction=prediction)
    for figure in (speed_figure(reading), stretches_figure(reading)):
        assert "&lt;img src=x" in figure.to_json()
        assert HOSTILE not in figure.to_json()


def test_labels_of_neighbours_take_different_rows() -> None:
    assert label_rows([1.0, 2.0, 9.0], span=10.0) == [0, 1, 0]
    assert label_rows([1.0, 1.1, 1.2], span=10.0) == [0, 1, 2]


def test_no_word_of_three_near_events_is_cut_off_while_a_car_runs() -> None:
    events = marked(sample_run.sample_reading().events)
    near = tuple(replace(event, distance_m=3.0 + i / 10) for i, event in enumerate(events))
    layout = live_figure(None, near).layout
    highest = max(word.yshift for word in layout.annotations)
    assert highest == 30.0
    assert layout.margin.t - highest >= 20.0  # a line of 13 px type with plotly's padding


def test_energy_rows_start_where_the_last_one_ended() -> None:
    ledger = EnergyLedger(10.0, 1.0, 2.0, 0.5, 0.5, 5.0, 0.5, 0.25, 0.25)
    steps = energy_steps(ledger)
    assert [(s.start_j, s.end_j) for s in steps] == [
        (0.0, 10.0),
        (10.0, 9.0),
        (9.0, 7.0),
        (7.0, 6.5),
        (6.5, 6.0),
        (6.0, 1.0),
        (1.0, 0.5),
        (0.5, 0.25),
        (0.25, 0.0),
    ]
    assert "5.00\u00a0J (50\u00a0%)" in _texts(energy_figure(ledger))


def test_unknown_energy_is_said_and_not_drawn() -> None:
    ledger = EnergyLedger(10.0, None, None, None, None, None, None, None, None)
    assert _texts(energy_figure(ledger)).count("not known") == 8
    assert list(energy_figure(ledger).data[0].x) == [10.0] + [0.0] * 8


def test_a_run_without_energy_draws() -> None:
    assert "0.00\u00a0J" in _texts(energy_figure(EnergyLedger(0.0, *[0.0] * 8)))
