"""A reading as one page, and the pictures for a closer look."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

import sample_run
from unspool.language import in_language
from unspool.render.figures.details import residual_figure, slots_figure, time_figure
from unspool.render.figures.gallery import reading_figures
from unspool.render.html.page import reading_page
from unspool.render.html.saving import picture_config

HOSTILE = "<img src=x onerror=alert(1)>"


def test_time_starts_at_the_launch() -> None:
    reading = sample_run.sample_reading()
    figure = time_figure(reading)
    measured = next(t for t in figure.data if t.name == "measured")
    assert np.array_equal(measured.x, reading.motion.time_s - reading.motion.launch_s)


def test_residuals_are_what_the_edges_say_less_the_fit() -> None:
    reading = sample_run.sample_reading()
    motion = replace(
        reading.motion,
        time_s=np.array([0.0, 1.0, 2.0, 2.0]),
        distance_m=np.array([0.0, 1.0, 2.1, 2.2]),
        speed_m_s=np.array([1.0, 1.0, 1.0, 1.0]),
    )
    dots = residual_figure(replace(reading, motion=motion)).data[0]
    assert list(dots.x) == [0.5, 1.55]  # two edges at one instant say nothing of the speed
    assert list(dots.y) == pytest.approx([0.0, 100.0])


def test_the_ring_closes_and_says_percent() -> None:
    reading = sample_run.sample_reading()
    motion = replace(reading.motion, pitch=np.array([1.02, 0.98, 1.0, 1.0]))
    slots = slots_figure(motion.pitch).data[1]
    assert list(slots.r) == pytest.approx([2.0, -2.0, 0.0, 0.0, 2.0])
    assert list(slots.theta) == [0.0, 90.0, 180.0, 270.0, 360.0]


def test_the_page_holds_every_picture_and_asks_nobody_for_anything() -> None:
    reading = sample_run.sample_reading()
    text = reading_page(reading, "run 7")
    names = [one.name for one in reading_figures(reading)]
    assert names[:5] == ["speed", "stretches", "energy", "time", "residuals"]
    assert all(f'id="picture-{name}"' in text for name in names)
    assert text.count("Plotly.newPlot(") >= len(names)
    assert not re.search(r"<(script|link|img)[^>]*(src|href)=[\"']?(https?:)?//", text)
    assert "Keep feet and hands from under the weight" in text


def test_a_hostile_name_stays_text() -> None:
    reading = replace(sample_run.sample_reading(), car=HOSTILE)
    assert HOSTILE not in reading_page(reading, HOSTILE)


def test_the_drawing_librarys_words_are_in_the_language_of_the_reader() -> None:
    assert "locale" not in picture_config()
    with in_language("de"):
        made = picture_config()
        words = made["locales"][made["locale"]]["dictionary"]
    assert "Zoom" in words
    assert all(said != own for own, said in words.items())
