"""Studies: comparisons, calibrations and plans for pages and downloads. Each is made once."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from unspool.app.attempt_names import with_names
from unspool.app.contest_hub import ContestHub
from unspool.app.drafts import Drafts
from unspool.app.jobs import Job, Jobs, Progress
from unspool.app.run_cache import AnalysedRun, RunCache, state_of
from unspool.errors import InputError
from unspool.language import language
from unspool.render.words.calibration import reading_words, round_words
from unspool.render.words.plan import stage_words
from unspool.render.words.sweep import tried_words
from unspool.runs import refuse_discarded
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.compare import ComparedRun, Comparison, compare
from unspool.study.plan import Goal, Limits, Owned, Plan, plan
from unspool.study.plan.evaluate import TURN_STEP
from unspool.study.plan.parts import WheelSize
from unspool.study.sweep import Axis, Sweep, sweep

PATIENCE_S = 20.0  # for an answer that is no page


@dataclass(frozen=True)
class OwnedSizes:
    """Sizes of other parts that the builder owns: weights, driven wheels, and tiers by name."""

    weights_g: tuple[float, ...] = ()
    wheels_mm: tuple[WheelSize, ...] = ()
    tiers_mm: tuple[tuple[str, tuple[float, ...]], ...] = ()


@dataclass(frozen=True)
class PlanRequest:
    """What to plan for: the car and track of a run, with losses calibrated from other runs."""

    run: str
    calibrate_from: tuple[str, ...]
    goal: Goal
    limits: Limits
    owned: OwnedSizes = OwnedSizes()
    turn_step: float = TURN_STEP


@dataclass(frozen=True)
class SizesRequest:
    """Which sizes to try, of the car of a run, each from its first value to its last."""

    run: str
    calibrate_from: tuple[str, ...]
    goal: Goal
    limits: Limits
    axes: tuple[Axis, ...]


class Studies:
    """Each method returns a job, which may still be at work."""

    def __init__(self, runs: RunCache, jobs: Jobs | None = None) -> None:
        self.runs = runs
        self.drafts = Drafts()  # of the forms of cars and floors
        self.contests = ContestHub(runs.store)
        self.jobs = jobs or Jobs()

    def comparison(self, runs: tuple[str, ...], by: str) -> Job[Comparison]:
        key = ("compare", by, language(), self._state(runs))  # groups have names
        return self.jobs.request(key, lambda progress: self._compare(runs, by, progress))

    def calibration(self, runs: tuple[str, ...]) -> Job[Calibration]:
        key = ("calibrate", self._state(runs))
        return self.jobs.request(key, lambda progress: self._calibrate(runs, progress))

    def calibrated(self, runs: tuple[str, ...], busy: str) -> Calibration:
        """The calibration, waited for. Raises InputError with the words `busy` if it takes long."""
        job = self.calibration(runs)
        if not job.wait(PATIENCE_S):
            raise InputError(busy)
        return job.result()

    def plan(self, request: PlanRequest) -> Job[Plan]:
        key = ("plan", self._state((request.run, *request.calibrate_from)), request)
        return self.jobs.request(key, lambda progress: self._plan(request, progress))

    def sizes(self, request: SizesRequest) -> Job[Sweep]:
        key = ("sizes", self._state((request.run, *request.calibrate_from)), request)
        return self.jobs.request(key, lambda progress: self._sizes(request, progress))

    def _state(self, runs: tuple[str, ...]) -> Hashable:
        """What a result depends on: the readings, and the runs' notes. Raises InputError."""
        stored = (self.runs.stored(run) for run in runs)
        return tuple(
            (state_of(run), run.builder_note, run.discarded, run.taped_m, self.runs.name(run.id))
            for run in stored
        )

    def _compare(self, runs: tuple[str, ...], by: str, progress: Progress) -> Comparison:
        analysed = self._analysed(runs, progress)
        given = [ComparedRun.of(run.measured, run.reading) for run in analysed]
        names = [self.runs.name(run) for run in runs]
        named = [replace(one, name=name) for one, name in zip(given, names, strict=True)]
        return compare(named, by)

    def _analysed(self, runs: tuple[str, ...], progress: Progress) -> Iterator[AnalysedRun]:
        for i, run_id in enumerate(runs):
            progress(partial(reading_words, i + 1, len(runs)))
            run = self.runs.analysed(run_id)
            refuse_discarded(run.measured)
            yield run

    def _calibrate(self, runs: tuple[str, ...], progress: Progress) -> Calibration:
        measured = [self.runs.measured(run) for run in runs]
        for run in measured:
            refuse_discarded(run)

        def fitted() -> Calibration:
            analysed = self._analysed(runs, progress)
            given = [CalibrationRun.of(run.measured, run.reading) for run in analysed]
            return calibrate(given, lambda done, most: progress(partial(round_words, done, most)))

        names = {one.name: self.runs.name(run) for one, run in zip(measured, runs, strict=True)}
        return with_names(self.runs.calibration(measured, fitted), names)

    def _sizes(self, request: SizesRequest, progress: Progress) -> Sweep:
        run, losses_from = self.runs.measured(request.run), request.calibrate_from
        car = self._calibrate(losses_from, progress).calibrated(run.car) if losses_from else run.car
        return sweep(
            car,
            request.axes,
            run.track,
            request.goal,
            request.limits,
            lambda done, count: progress(partial(tried_words, done, count)),
        )

    def _plan(self, request: PlanRequest, progress: Progress) -> Plan:
        run, sizes = self.runs.measured(request.run), request.owned
        losses_from = request.calibrate_from
        calibration = self._calibrate(losses_from, progress) if losses_from else None
        return plan(
            run.car,
            run.track,
            request.goal,
            request.limits,
            Owned.measured(run.car, sizes.weights_g, sizes.wheels_mm, dict(sizes.tiers_mm)),
            calibration=calibration,
            on_stage=lambda *at: progress(partial(stage_words, *at)),
            turn_step=request.turn_step,
        )
