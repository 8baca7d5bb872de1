"""Which extra run would tell what the runs so far cannot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isnan

from unspool.study.calibration.types import CalibrationRun, Resistance, RunOutcome, Term

OTHER_WEIGHT = 0.1  # share by which masses must differ to tell rolling from constant drag
FEW_RUNS = 3


def advise(
    runs: Sequence[CalibrationRun],
    terms: Sequence[Term],
    outcomes: Sequence[RunOutcome],
    resistance: Resistance,
    vouched: Sequence[str],
) -> tuple[str, ...]:
    """A sentence each, the most telling run first."""
    known = {term.name: term.known for term in terms}
    sound = [run for run, one in zip(runs, outcomes, strict=True) if not one.is_bad]
    return (
        *_odd(outcomes),
        *_wheels(runs),
        *(_word(resistance) if vouched else _weight(known, sound, resistance)),
        *_speed(known, sound),
        *_drive(known),
        *_number(sound),
        *_direction(sound),
    )


def _odd(outcomes: Sequence[RunOutcome]) -> Iterator[str]:
    for one in outcomes:
        if one.left_out is not None:
            yield f"{one.name} is left out: {one.left_out}."
        elif not one.launch_seen:
            yield f"{one.name} begins after the launch: only its coast counts, not its drive."
        elif isnan(one.measured_m):
            yield (
                f"{one.name} ends before the car came to rest (cut short, or stopped by a hand or "
                "a wall): only what was before counts."
            )
        elif one.is_bad:
            yield (
                f"{one.name} went otherwise than the rest ({one.measured_m:.2f} m, the others say "
                f"{one.modelled_m:.2f} m) and hardly counts: look at it, or run it again."
            )


def _wheels(runs: Sequence[CalibrationRun]) -> Iterator[str]:
    """Rolling is a wheel's own: what other wheels lose is another number."""
    first = _wheel_set(runs[0])
    for run in runs:
        if _wheel_set(run) != first:
            yield (
                f"{run.name} ran on other wheels than {runs[0].name}: losses are shared only by "
                "like wheels and axles, so calibrate each set by itself."
            )


def _wheel_set(run: CalibrationRun) -> list[tuple[int, float]]:
    """Counts and radii, to a tenth of a millimetre, in which a roll-out may differ."""
    return sorted((wheel.count, round(wheel.radius_m, 4)) for wheel in run.car.wheels)


def _weight(
    known: dict[str, bool], runs: Sequence[CalibrationRun], resistance: Resistance
) -> Iterator[str]:
    if known["constant_drag_n"]:
        return
    masses = [run.car.total_mass_kg for run in runs]
    if masses and max(masses) < (1.0 + OTHER_WEIGHT) * min(masses):
        yield (
            f"Rolling and constant drag show only together at one mass, {_together(resistance)}: a "
            "run with a clearly heavier or lighter car would tell them apart, as would "
            "constant_drag_n in the car file where it is known."
        )
    else:
        yield "Constant drag is still open: repeat the lightest and the heaviest run."


def _word(resistance: Resistance) -> Iterator[str]:
    yield (
        f"The runs tell rolling and constant drag only together, {_together(resistance)}; the "
        "rolling coefficient rests on constant_drag_n in the car file. Leave that out if it was "
        "not measured."
    )


def _together(resistance: Resistance) -> str:
    return f"{resistance.value:.3f} N at {resistance.mass_kg:.2f} kg"


def _speed(known: dict[str, bool], runs: Sequence[CalibrationRun]) -> Iterator[str]:
    if not known["drag_area_m2"]:
        yield (
            "The air's share is too small to be told at these speeds: a faster run (more turns on "
            "the smaller tiers, or a heavier weight) would tell it."
        )


def _drive(known: dict[str, bool]) -> Iterator[str]:
    if not known["drive_efficiency"]:
        yield (
            "The drive's efficiency is open: a run that was watched from its launch would tell it."
        )


def _number(runs: Sequence[CalibrationRun]) -> Iterator[str]:
    if 0 < len(runs) < FEW_RUNS:
        more = FEW_RUNS - len(runs)
        yield (
            f"{more} more run{'s' if more > 1 else ''} with a winding already run would show how "
            "much runs differ by themselves."
        )


def _direction(runs: Sequence[CalibrationRun]) -> Iterator[str]:
    if runs and all(len(run.track.distance_m) < 2 for run in runs):
        yield (
            "The floor was taken to be level: a fall of 1 mm a metre looks like 0.001 less rolling "
            "coefficient. Level the track, or run it the other way too."
        )
