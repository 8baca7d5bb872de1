"""What is odd about the runs of a calibration, and which extra run would answer what is open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from unspool.finding import Finding, note, warning
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.types import CalibrationRun, Resistance, RunOutcome, Term

OTHER_WEIGHT = 0.1  # share by which masses must differ to separate rolling from constant drag
FEW_RUNS = 3  # from three runs on, one that is odd stands out


def advise(
    runs: Sequence[CalibrationRun],
    terms: Sequence[Term],
    outcomes: Sequence[RunOutcome],
    resistance: Resistance,
    vouched: Sequence[str],
) -> tuple[Finding, ...]:
    """First what is odd about a run, then the most useful extra run."""
    known = {term.name: term.known for term in terms}
    sound = [run for run, one in zip(runs, outcomes, strict=True) if not one.is_bad]
    return (
        *(finding for one in outcomes for finding in _odd(one)),
        *_wheels(runs),
        *_constant_drag(known, sound, resistance, bool(vouched)),
        *_other_terms(known),
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


def _other_terms(known: dict[str, bool]) -> Iterator[Finding]:
    if not known["drag_area_m2"]:
        yield note(CalibrationCode.AIR_DRAG_OPEN)
    if not known["drive_efficiency"]:
        yield note(CalibrationCode.EFFICIENCY_OPEN)


def _number(runs: Sequence[CalibrationRun]) -> Iterator[Finding]:
    if 0 < len(runs) < FEW_RUNS:
        yield note(CalibrationCode.FEW_RUNS, more=FEW_RUNS - len(runs))


def _direction(runs: Sequence[CalibrationRun]) -> Iterator[Finding]:
    if runs and all(len(run.track.distance_m) < 2 for run in runs):
        yield note(CalibrationCode.LEVEL_ASSUMED)
