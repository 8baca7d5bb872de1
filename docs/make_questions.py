"""`make pictures`: computes the tables of docs/questions.md again and draws its pictures.

A row of a table names its car, and perhaps its track, by links to their files. Each other column is
a figure by its heading. If a row also links runs, the prediction takes its losses from them.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from questions_pictures import FILES, PICTURES, RUNS, calibrated_next, car_of
from second_opinion import weight_dropped

from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.model import predict, split_times
from unspool.model.outcome import Prediction
from unspool.model.params import params_of
from unspool.reading.edges.edge_file import write_edge_file
from unspool.virtual.truth import USUAL, TrueRun
from unspool.virtual.truth import run as true_run

PAGE = HERE / "questions.md"
# The three runs are made by a car that differs from its file, and a little from run to run.
SEED, DRIFT = 10, (1.006, 0.995, 1.002)


@dataclass(frozen=True)
class Row:
    car: Car
    track: Track
    after_runs: bool

    @cached_property
    def told(self) -> Prediction:
        if not self.after_runs:
            return predict(self.car, self.track)
        middle, low, high = calibrated_next()
        told = predict(self.car, self.track)
        return replace(told, distance_m=middle, distance_low_m=low, distance_high_m=high)

    @cached_property
    def true(self) -> TrueRun:
        return true_run(self.car, self.track)

    @property
    def pull_n(self) -> float:
        one = params_of(self.car, self.track)
        return one.drive_n(one.tiers[0].lever)

    @property
    def mark_s(self) -> float | None:
        return split_times(self.car, self.track, [10.0])[0]

    @property
    def landing_way_m(self) -> float:
        return (self.told.energy.landing or 0.0) / params_of(self.car, self.track).rolling_n(0.0)

    def share(self, energy_j: float | None) -> float:
        return 100.0 * (energy_j or 0.0) / self.told.energy.stored


Figure = Callable[[Row], float | None]
COLUMNS: dict[str, tuple[int, Figure]] = {
    "pull at the tyre (N)": (2, lambda r: r.pull_n),
    "start margin": (2, lambda r: r.told.start_margin),
    "lets go at (m)": (2, lambda r: r.told.release_m),
    "top speed (m/s)": (2, lambda r: r.told.peak_speed_m_s),
    "10 m after (s)": (2, lambda r: r.mark_s),
    "at rest after (s)": (1, lambda r: r.told.duration_s if r.told.starts else None),
    "stops at (m)": (2, lambda r: r.told.distance_m),
    "furthest (m)": (2, lambda r: r.told.furthest_m),
    "second solver (m)": (2, lambda r: r.true.rest_m),
    "landing (J)": (3, lambda r: r.told.energy.landing),
    "second solver (J)": (3, lambda r: r.true.energy.landing),
    "landing (%)": (1, lambda r: r.share(r.told.energy.landing)),
    "way lost (m)": (2, lambda r: r.landing_way_m),
    "left in the weight (J)": (2, lambda r: r.told.energy.left_in_weight),
    "tier changes (J)": (3, lambda r: r.told.energy.catches),
    "peak pull (N)": (1, lambda r: r.told.peak_tension_n),
    "air (J)": (2, lambda r: r.told.energy.air),
    "air (%)": (1, lambda r: r.share(r.told.energy.air)),
    "string margin": (1, lambda r: r.told.string_margin),
    "traction margin": (1, lambda r: r.told.traction_margin),
    "dropped at the release (m)": (2, lambda r: weight_dropped(r.car)),
    "from (m)": (2, lambda r: r.told.distance_low_m),
    "to (m)": (2, lambda r: r.told.distance_high_m),
}


def main() -> None:
    for seed, (name, car) in enumerate(RUNS, SEED):
        driven = true_run(really(car_of(car), DRIFT[seed - SEED]), imperfections=USUAL, seed=seed)
        write_edge_file(FILES / f"{name}.csv", driven.train)
    for name, draw in PICTURES.items():
        (HERE / "pictures" / f"question-{name}.svg").write_text(draw().svg(), encoding="utf-8")
    PAGE.write_text(filled(PAGE.read_text(encoding="utf-8")), encoding="utf-8")


def really(car: Car, drift: float) -> Car:
    """What Sandpiper is like in truth, which its file does not know."""
    losses = replace(
        car.losses,
        rolling_coefficient=0.0132 * drift,
        constant_drag_n=0.012,
        drive_efficiency=0.885,
        break_away_coefficient=0.0175,
        assumed=(),
    )
    return replace(car, frontal_area_m2=0.0170, drag_coefficient=0.95, losses=losses)


def filled(page: str) -> str:
    """The page, with every row of its tables that names a car computed again."""
    lines, columns = page.splitlines(), list[str]()
    for i, line in enumerate(lines):
        if not line.startswith("|"):
            columns = []
        elif not columns:
            columns = _cells(line)
        elif "](questions/" in line:
            lines[i] = f"| {' | '.join(_row(_cells(line), columns))} |"
    return "\n".join(lines) + "\n"


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


def _row(cells: list[str], columns: list[str]) -> list[str]:
    row = _named(cells[0])
    return [cells[0], *(_figure(row, column) for column in columns[1:])]


def _named(cell: str) -> Row:
    files = [HERE / path for path in re.findall(r"\]\((questions/[^)]+)\)", cell)]
    cars = [path for path in files if path.suffix == ".toml"]
    track = load_track(cars[1]) if len(cars) > 1 else FLAT
    return Row(load_car(cars[0]), track, any(path.suffix == ".csv" for path in files))


def _figure(row: Row, column: str) -> str:
    decimals, figure = COLUMNS[column]
    value = figure(row)
    return "none" if value is None else f"{value:.{decimals}f}"


if __name__ == "__main__":
    main()
