"""What is odd about the runs of a calibration, and which extra run would answer what is open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from unspool.finding import Finding, note, warning
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.types import (
    CalibrationRun,
    Resistance,
    RunOutcome,
    SpeedDrag,
    Term,
)

# A winding is said to differ if it does by more than a hand's count and so many sds of the fit.
LEAST_TURNS, SURE_SDS = 0.15, 3.0
MAY_MISS_SHARE = 0.1  # of its distance, by which a run that rolled back may be off the model
OTHER_WEIGHT = 0.1  # share by which masses must differ to separate rolling from constant drag
FEW_RUNS = 3  # from three runs on, one that is odd stands out


def advise(
    runs: Sequence[CalibrationRun],
    terms: Sequence[Term],
    outcomes: Sequence[RunOutcome],
    resistance: Resistance,
    speed_drag: SpeedDrag,
    vouched: Sequence[str],
) -> tuple[Finding, ...]:
    """First what is odd about a run, then the most useful extra run."""
    known = {term.name: term.known for term in terms}
    sound = [run for run, one in zip(runs, outcomes, strict=True) if not one.is_bad]
    return (
        *(finding for one in outcomes for finding in _odd(one)),
        *(finding for run, one in zip(runs, outcomes, strict=True) for finding in _off(run, one)),
        *_wheels(runs),
        *_constant_drag(known, sound, resistance, bool(vouched)),
        *_other_terms(known, speed_drag),
        *_number(sound),
        *_direction(sound),
    )


def _odd(one: RunOutcome) -> Iterator[Finding]:
    if one.left_out is not None:
        yield one.left_out
        return
    if one.without_drive is not None:
        yield one.without_drive
    elif one.measured_m is None:
        yield note(CalibrationCode.STOP_NOT_SEEN, run=one.name)
    if one.is_bad:
        yield warning(
            CalibrationCode.RUN_DISAGREES,
            run=one.name,
            measured_m=one.measured_m,
            modelled_m=one.modelled_m,
        )


def _off(run: CalibrationRun, one: RunOutcome) -> Iterator[Finding]:
    """How a run that is used differs from what was said of it."""
    if one.is_bad:
        return
    for k, (turns, sd) in enumerate(zip(one.turns, one.turns_sd, strict=False)):
        tier = run.wound_car.drum[k]
        if abs(turns - tier.turns) > max(LEAST_TURNS, SURE_SDS * sd) and one.without_drive is None:
            yield warning(
                CalibrationCode.WOUND_OTHERWISE,
                run=one.name,
                tier=tier.name,
                said=tier.turns,
                turns=turns,
                sd=sd,
            )
    if len(run.reading.motion.legs) > 1 and _misses_the_rest(run, one):
        yield warning(
            CalibrationCode.ROLLED_BACK,
            run=one.name,
            measured_m=one.measured_m,
            modelled_m=one.modelled_m,
        )


def _misses_the_rest(run: CalibrationRun, one: RunOutcome) -> bool:
    """Whether the model has it rest elsewhere. On a level floor no drive makes a car roll back."""
    level = len(run.track.distance_m) < 2
    if one.measured_m is None or (one.without_drive is not None and not level):
        return False
    return abs(one.measured_m - one.modelled_m) > _may_miss(one)


def _may_miss(one: RunOutcome) -> float:
    return MAY_MISS_SHARE * max(one.measured_m or 0.0, 1.0)


def _wheels(runs: Sequence[CalibrationRun]) -> Iterator[Finding]:
    """Rolling is a wheel's own: what other wheels lose is another number."""
    first = _wheel_set(runs[0])
    for run in runs:
        if _wheel_set(run) != first:
            yield warning(CalibrationCode.OTHER_WHEELS, run=run.name, first_run=runs[0].name)


def _wheel_set(run: CalibrationRun) -> list[tuple[int, float]]:
    """Counts and radii, to a tenth of a millimetre, in which a roll-out may differ."""
    return sorted((wheel.count, round(wheel.radius_m, 4)) for wheel in run.car.wheels)


def _constant_drag(
    known: dict[str, bool], runs: Sequence[CalibrationRun], both: Resistance, stated: bool
) -> Iterator[Finding]:
    together = {"resistance_n": both.value, "mass_kg": both.mass_kg}
    masses = [run.car.total_mass_kg for run in runs]
    if stated:
        yield note(CalibrationCode.CONSTANT_DRAG_STATED, **together)
    elif known["constant_drag_n"]:
        return
    elif masses and max(masses) < (1.0 + OTHER_WEIGHT) * min(masses):
        yield note(CalibrationCode.ONE_MASS, **together)
    else:
        yield note(CalibrationCode.CONSTANT_DRAG_OPEN)


def _other_terms(known: dict[str, bool], speed_drag: SpeedDrag) -> Iterator[Finding]:
    if not (known["drag_area_m2"] or speed_drag.known):
        yield note(CalibrationCode.AIR_DRAG_OPEN)
    if not known["drive_efficiency"]:
        yield note(CalibrationCode.EFFICIENCY_OPEN)


def _number(runs: Sequence[CalibrationRun]) -> Iterator[Finding]:
    if 0 < len(runs) < FEW_RUNS:
        yield note(CalibrationCode.FEW_RUNS, more=FEW_RUNS - len(runs))


def _direction(runs: Sequence[CalibrationRun]) -> Iterator[Finding]:
    if runs and all(len(run.track.distance_m) < 2 for run in runs):
        yield note(CalibrationCode.LEVEL_ASSUMED)
