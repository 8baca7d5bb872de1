"""Studies: what several runs tell together, for pages and downloads; each is done once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from unspool.app.jobs import Job, Jobs, Tell
from unspool.app.run_cache import Shelf
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.compare import ComparedRun, Comparison, compare
from unspool.study.plan import Goal, Limits, Owned, Plan, plan

T = TypeVar("T")


def finished(job: Job[T]) -> T:
    """What the job made, however long it takes. Raises what it raised."""
    job.wait(None)
    return job.result()


@dataclass(frozen=True)
class Box:
    """What else the builder owns: weights, diameters of driven wheels, and of tiers by name."""

    weights_g: tuple[float, ...] = ()
    wheels_mm: tuple[float, ...] = ()
    tiers_mm: tuple[tuple[str, tuple[float, ...]], ...] = ()


@dataclass(frozen=True)
class PlanWish:
    """What to plan for: the car and track of a run, with the losses that other runs tell."""

    run: str
    learn: tuple[str, ...]
    goal: Goal
    limits: Limits
    box: Box = Box()


class Studies:
    """Each asks for a job, which may still be at work."""

    def __init__(self, shelf: Shelf, jobs: Jobs | None = None) -> None:
        self.shelf = shelf
        self.jobs = jobs or Jobs()

    def comparison(self, runs: tuple[str, ...], by: str) -> Job[Comparison]:
        key = ("compare", by, self._state(runs))
        return self.jobs.ask(key, lambda tell: self._compare(runs, by, tell))

    def calibration(self, runs: tuple[str, ...]) -> Job[Calibration]:
        key = ("calibrate", self._state(runs))
        return self.jobs.ask(key, lambda tell: self._calibrate(runs, tell))

    def plan(self, wish: PlanWish) -> Job[Plan]:
        key = ("plan", self._state((wish.run, *wish.learn)), wish)
        return self.jobs.ask(key, lambda tell: self._plan(wish, tell))

    def _state(self, runs: tuple[str, ...]) -> tuple[tuple[str, int, str], ...]:
        """What a result hangs on: a run may grow, and its note change. Raises InputError."""
        stored = (self.shelf.stored(run) for run in runs)
        return tuple((run.id, len(run.train), run.builder_note) for run in stored)

    def _compare(self, runs: tuple[str, ...], by: str, tell: Tell) -> Comparison:
        read: list[ComparedRun] = []
        for i, run_id in enumerate(runs):
            tell(f"reading run {i + 1} of {len(runs)}")
            read.append(self._compared(run_id))
        return compare(read, by)

    def _compared(self, run_id: str) -> ComparedRun:
        told = self.shelf.tell(self.shelf.stored(run_id))
        return ComparedRun.of(told.subject, told.reading)

    def _calibrate(self, runs: tuple[str, ...], tell: Tell) -> Calibration:
        given = [CalibrationRun.of(self.shelf.subject(self.shelf.stored(run))) for run in runs]

        def progress(done: int, count: int) -> None:
            tell(f"{done} of {count} runs read")

        tell(f"0 of {len(given)} runs read")
        return calibrate(given, progress)

    def _plan(self, wish: PlanWish, tell: Tell) -> Plan:
        subject = self.shelf.subject(self.shelf.stored(wish.run))
        learnt = self._calibrate(wish.learn, tell) if wish.learn else None
        return plan(
            subject.car,
            subject.track,
            wish.goal,
            wish.limits,
            Owned.measured(
                subject.car, wish.box.weights_g, wish.box.wheels_mm, dict(wish.box.tiers_mm)
            ),
            calibration=learnt,
            progress=tell,
        )
