"""Lines: what the Logbook shows of each run, made once and kept until its run changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from unspool.ends import Ends
from unspool.errors import UnspoolError, own_faults
from unspool.kept.code_version import code_version, is_unchanged
from unspool.kept.readings import Readings
from unspool.render.words.findings import warnings_first
from unspool.runs import stored_run
from unspool.store import Line, RunRow, Store, StoredRun

if TYPE_CHECKING:
    from unspool.kept.readings import Analyse
    from unspool.reading.events.types import Reading
    from unspool.reading.motion.types import Motion
    from unspool.study.measured_run import MeasuredRun

POINTS = 25  # of a sparkline


class Lines:
    """Of a store's runs. analyse: as Readings takes it; then nothing is kept."""

    def __init__(self, store: Store, analyse: Analyse | None = None) -> None:
        self._store, self._keeps = store, analyse is None
        self._readings = Readings(store, analyse)

    def kept(self, of: Sequence[str] | None = None) -> dict[str, Line]:
        """All that the store has, by the runs' ids, whether they still hold or not.

        of: only these runs.
        """
        return self._store.lines(of) if self._keeps else {}

    def make(self, row: RunRow) -> Line:
        """The line of a run as it is now. If the run cannot be read, the line says why."""
        basis = row.basis
        try:
            run = self._store.run(row.id)
            basis = run.basis
            with own_faults(f"run {row.id}"):
                measured = stored_run(run)
                return _line(run, measured, self._readings.reading(measured))
        except UnspoolError as error:
            return Line(row.id, basis, code_version(), fault=str(error))

    def keep(self, lines: Sequence[Line]) -> None:
        if self._keeps and is_unchanged():
            self._store.keep_lines(lines)


def holds(row: RunRow, line: Line | None) -> bool:
    """Whether the line is of the run as it is."""
    return line is not None and line.basis == row.basis


def is_due(row: RunRow, line: Line | None) -> bool:
    """Whether it must be made. Of a damaged run there is none to make."""
    newest = line is not None and line.code == code_version()
    return bool(row.basis) and not (newest and holds(row, line))


def _line(run: StoredRun, measured: MeasuredRun, reading: Reading) -> Line:
    car, motion = measured.car, reading.motion
    turns = measured.counted or tuple(tier.turns for tier in car.drum)
    return Line(
        run_id=run.id,
        basis=run.basis,
        code=code_version(),
        winding=tuple((tier.name, float(n)) for tier, n in zip(car.drum, turns, strict=True)),
        weight_g=1e3 * car.weight_mass_kg,
        distance_m=float(motion.stop_m),
        ends=_ends(motion),
        peak_m_s=float(reading.peak_speed_m_s),
        spark=_spark(motion),
        findings=tuple((str(f.code), str(f.severity)) for f in warnings_first(reading.findings)),
    )


def _ends(motion: Motion) -> Ends:
    if not motion.stop_seen:
        return Ends.CUT_OFF
    return Ends.FIRST_LOST if motion.train.lost_before else Ends.DISTANCE


def _spark(motion: Motion) -> tuple[int, ...]:
    """Speeds on the way out, in percent of the highest, at even distances."""
    out = slice(0, motion.way_out or len(motion.distance_m))
    return spark_of(motion.distance_m[out], motion.speed_m_s[out])


def spark_of(distance_m: NDArray[np.float64], speed_m_s: NDArray[np.float64]) -> tuple[int, ...]:
    """(n,) against (n,), rising; empty if there is nothing to draw."""
    if len(distance_m) < 2 or not speed_m_s.max() > 0.0:
        return ()
    places = np.linspace(distance_m[0], distance_m[-1], POINTS)
    speeds = np.interp(places, distance_m, speed_m_s) / speed_m_s.max()
    return tuple(int(share) for share in np.rint(100.0 * speeds))
