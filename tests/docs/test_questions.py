"""Every number of docs/questions.md is had again, and every command on it is run.

Figures come from `unspool predict --json`, from the independent solver, or by hand from the car
file; none from the script that fills the page's tables.
"""

from __future__ import annotations

import json
import re
import runpy
import sys
from collections.abc import Callable
from contextlib import redirect_stdout
from dataclasses import replace
from io import StringIO
from math import log

import numpy as np
import pytest

from questions_page import (
    FILES,
    GRAVITY,
    PAGE,
    ROOT,
    Row,
    commands,
    prose,
    rows,
    said,
    sections,
    steady_n,
    told,
    true,
    written,
)
from unspool.car import load_car
from unspool.virtual.truth import run as true_run

AIR_KG_M3 = 1.2041  # dry, 20 C, 1013.25 hPa: CIPM-2007
LEARN = next(words for words in commands(PAGE) if words[1] == "calibrate")


def pull_n(row: Row) -> float:
    file = written(row.car)
    radius = 0.5 * (file["drum"][0]["diameter_mm"] + file["string"]["diameter_mm"])
    weight = 1e-3 * file["weight"]["mass_g"] * GRAVITY
    wheel = 0.5 * file["wheels"][0]["diameter_mm"]
    return float(file["losses"]["drive_efficiency"] * weight * radius / wheel)


def passes_10_m(row: Row) -> float | None:
    run = true(row.car, row.track)
    there = int(np.argmax(run.distance_m >= 10.0)) + 1
    return float(np.interp(10.0, run.distance_m[:there], run.time_s[:there]))


def dropped_m(row: Row) -> float:
    """The release, and a coast without the weight in closed form from its speed."""
    file, at = written(row.car), true(row.car).event("release")
    mass = 1e-3 * file["body"]["mass_g"]
    losses, body = file["losses"], file["body"]
    steady = losses["rolling_coefficient"] * mass * GRAVITY + losses["constant_drag_n"]
    area = 1e-4 * body["frontal_area_cm2"] * body["drag_coefficient"]
    spun = sum(0.5e-3 * wheel["mass_g"] * wheel["count"] for wheel in file["wheels"])
    air, moved = 0.5 * AIR_KG_M3 * area, mass + spun
    if not air:
        return at.distance_m + moved * at.speed_m_s**2 / (2.0 * steady)
    return at.distance_m + moved / (2.0 * air) * log(1.0 + air * at.speed_m_s**2 / steady)


def learnt_m() -> float:
    """The next winding's distance with the losses of `calibrate --json`, by the solver."""
    losses = {
        name: one["value"] for name, one in json.loads(said(*LEARN[1:], "--json"))["losses"].items()
    }
    car = load_car(FILES / "unknown-next.toml")
    area = losses.pop("drag_area_m2")
    known = replace(car.losses, **losses, assumed=())
    return true_run(replace(car, losses=known, frontal_area_m2=area, drag_coefficient=1.0)).rest_m


def json_of(*keys: str) -> Callable[[Row], float | None]:
    def figure(row: Row) -> float | None:
        value = told(row.car, row.track)
        for key in keys:
            value = value[key]
        return value

    return figure


def share(term: str) -> Callable[[Row], float]:
    def figure(row: Row) -> float:
        energy = told(row.car, row.track)["energy_j"]
        return float(100.0 * energy[term] / energy["stored"])

    return figure


COLUMNS: dict[str, Callable[[Row], float | None]] = {
    "pull at the tyre (N)": pull_n,
    "start margin": json_of("start_margin"),
    "lets go at (m)": json_of("release_m"),
    "top speed (m/s)": json_of("peak_speed_m_s"),
    "10 m after (s)": passes_10_m,
    "at rest after (s)": json_of("duration_s"),
    "stops at (m)": lambda r: learnt_m() if r.after_runs else told(r.car, r.track)["distance_m"],
    "furthest (m)": json_of("furthest_m"),
    "second solver (m)": lambda r: true(r.car, r.track).rest_m,
    "landing (J)": json_of("energy_j", "landing"),
    "second solver (J)": lambda r: true(r.car).energy.landing,
    "landing (%)": share("landing"),
    "way lost (m)": lambda r: told(r.car)["energy_j"]["landing"] / steady_n(r.car),
    "left in the weight (J)": json_of("energy_j", "left_in_weight"),
    "tier changes (J)": json_of("energy_j", "catches"),
    "peak pull (N)": json_of("string", "peak_tension_n"),
    "air (J)": json_of("energy_j", "air"),
    "air (%)": share("air"),
    "string margin": json_of("string", "margin"),
    "traction margin": json_of("traction_margin"),
    "dropped at the release (m)": dropped_m,
    "from (m)": json_of("distance_low_m"),
    "to (m)": json_of("distance_high_m"),
}


def assert_printed(text: str, value: float, where: object) -> None:
    decimals = len(text.partition(".")[2])
    assert float(text) == pytest.approx(value, abs=0.52 * 10.0**-decimals), where


def test_the_page_has_a_table_and_a_command_a_question() -> None:
    asked = [heading for heading in sections() if heading]
    assert len(asked) == 14
    assert {row.section for row in rows()} == set(asked)
    for heading in asked:
        assert commands(sections()[heading]), heading


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row.section[:24]}:{row.files[-1]}")
def test_every_figure_of_a_table(row: Row) -> None:
    assert row.figures
    for column, text in row.figures.items():
        if text == "none":
            assert column == "at rest after (s)"
            assert not told(row.car)["starts"]
        elif not (row.after_runs and column in ("from (m)", "to (m)")):  # the Python block's
            value = COLUMNS[column](row)
            assert value is not None
            assert_printed(text, value, (row, column))


def test_model_and_solver_agree_on_every_run() -> None:
    for row in rows():
        if not row.after_runs:
            distance = told(row.car, row.track)["distance_m"]
            assert distance == pytest.approx(true(row.car, row.track).rest_m, abs=1e-4), row


PROSE: dict[str, dict[str, Callable[[], float]]] = {
    "": {
        "910": lambda: written("sandpiper.toml")["body"]["mass_g"],
        "640": lambda: written("sandpiper.toml")["weight"]["mass_g"],
        "560": lambda: written("sandpiper.toml")["weight"]["drop_mm"],
    },
    "Why does a big tier start well and a small one not at all?": {
        "0.25": lambda: 0.016 * 1.55 * GRAVITY + 0.01,
        "0.19": lambda: steady_n("sandpiper.toml"),
        "1": lambda: 1,
    },
    # held to by test_questions_claims
    "How many turns on the starting tier?": {
        "3.5": lambda: 3.5,
        "10": lambda: 10,
        "0.1": lambda: 0.1,
        "5": lambda: 5,
    },
    "Does gearing change how far, or only how fast?": {
        "1": lambda: more("tier-8-no-air.toml", "tier-24-no-air.toml"),
        "4": lambda: more("tier-8.toml", "tier-24.toml"),
    },
    "One step, or a gradual taper?": {
        "0.01": lambda: told("step-24-8.toml")["energy_j"]["catches"],
        "6.3": lambda: 0.64 * GRAVITY,
    },
    "Does dropping the weight on the way help?": {
        "0.98": lambda: 0.5 * 0.64 * true("sandpiper.toml").event("release").speed_m_s ** 2,
    },
    "Is a heavier weight better, and when not?": {
        "42": lambda: more("weight-1280.toml", "sandpiper.toml"),
        "67": lambda: more("weight-1920.toml", "sandpiper.toml"),
        "43": lambda: 0.92 * 0.56 / 0.012,
        "565": lambda: written("weight-960-body-1475.toml")["body"]["mass_g"] - 910,
    },
    "What does a slope at the end do?": {
        "12": lambda: 1e3 * 0.012,
        "17": lambda: 1e3 * (0.016 + 0.01 / (1.55 * GRAVITY)),
    },
    "How much does air matter?": {
        "7": lambda: share("air")(Row("", ("sandpiper.toml",), {})),
        "1": lambda: 100.0 * weather_m() / told("sandpiper.toml")["distance_m"],
    },
    "How sure is a prediction?": {
        "2": lambda: 2,
        "9": lambda: 9,
        "10": lambda: 10,
        "13.76": lambda: true_next_m(),
    },
}


def more(one: str, other: str) -> float:
    """By how many percent one car goes farther than the other."""
    return float(100.0 * (told(one)["distance_m"] / told(other)["distance_m"] - 1.0))


def weather_m() -> float:
    warm, cold = (told("sandpiper.toml", f"{day}-day.toml") for day in ("warm", "cold"))
    return float(warm["distance_m"] - cold["distance_m"])


def true_next_m() -> float:
    car = load_car(FILES / "unknown-next.toml")
    known = replace(
        car.losses,
        rolling_coefficient=0.0132,
        constant_drag_n=0.012,
        drive_efficiency=0.885,
        break_away_coefficient=0.0175,
    )
    return true_run(
        replace(car, losses=known, frontal_area_m2=0.01615, drag_coefficient=1.0)
    ).rest_m


@pytest.mark.parametrize("heading", sections())
def test_every_number_in_the_words(heading: str) -> None:
    numbers = re.findall(r"(?<![\w.])\d+(?:\.\d+)?", prose(sections()[heading]))
    known = PROSE.get(heading, {})
    assert set(numbers) == set(known)
    for text, value in known.items():
        assert_printed(text, value(), heading)


@pytest.mark.parametrize("words", commands(PAGE), ids=lambda words: " ".join(words[1:4])[-60:])
def test_every_command_runs_and_says_what_its_row_says(
    words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    out = said(*words[1:]) if words[0] == "unspool" else python(words[1:], monkeypatch)
    out = out.replace("\u00a0", " ")
    assert out
    if words[1] in ("plan", "calibrate") or "--json" in words:
        return
    files = tuple(word.rpartition("/")[2] for word in words if word.endswith(".toml"))
    row = next(row for row in rows() if row.files == files and "stops at (m)" in row.figures)
    stops = row.figures["stops at (m)"]
    assert f"stops at {stops} m" in out or ("does not start" in out and stops == "0.00")


def python(words: list[str], monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setattr(sys, "argv", words)
    with redirect_stdout(StringIO()) as out:
        runpy.run_path(words[0], run_name="__main__")
    return out.getvalue()


BLOCKS = re.findall(r"^```python\n(.*?)^```", PAGE, re.DOTALL | re.MULTILINE)


@pytest.mark.parametrize("block", BLOCKS, ids=["split_times", "predict_with"])
def test_python_prints_what_stands_beside_it(block: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    with redirect_stdout(StringIO()) as out:
        exec(block, {})
    said_to_print = block.rstrip().rpartition("  # ")[2]
    assert out.getvalue().strip() == said_to_print
    for number in re.findall(r"\d+\.\d+", said_to_print):
        assert any(number in row.figures.values() for row in rows()), number
