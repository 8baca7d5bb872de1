"""What a calibration finds, in sentences: what the runs show, then what to do about it."""

from __future__ import annotations

from unspool.language import _, localised, many
from unspool.render.words.car_doubts import drive_otherwise, drive_unusual, tape_disagrees
from unspool.render.words.drag import DRAG_TEXTS
from unspool.render.words.logbook import found_words
from unspool.render.words.losses_pictured import hung
from unspool.render.words.units import quantity
from unspool.render.words.values import (
    Text,
    Values,
    in_mm,
    number,
    shown,
)
from unspool.study.calibration import CalibrationCode


def _too_few_edges(v: Values) -> str:
    return many(
        "{run} is left out: its way forward has only {count} edge.",
        "{run} is left out: its way forward has only {count} edges.",
        number(v, "edges"),
        run=v["run"],
    )


def _slowing_not_seen(v: Values) -> str:
    return _("{run} is left out: its edges do not show what slows the car.", run=v["run"])


def _run_left_out(v: Values) -> str:
    found = found_words(str(v["found"]))
    return _("{run} is left out, because its reading finds: {found}.", run=v["run"], found=found)


def _coast_only(v: Values) -> str:
    return _(
        "{run} is used for its coast only, not for its drive, because its reading finds: {found}.",
        run=v["run"],
        found=found_words(str(v["found"])),
    )


def _begins_after_launch(v: Values) -> str:
    return _("{run} begins after the launch: only its coast is used, not its drive.", run=v["run"])


def _stop_not_seen(v: Values) -> str:
    return _(
        "{run} ends before the car came to rest: it was cut short, or a hand or a wall stopped the "
        "car. Only the part before is used.",
        run=v["run"],
    )


def _run_disagrees(v: Values) -> str:
    if v["measured_m"] is None:
        return _(
            "{run} disagrees with the other attempts, so it counts little. Look at it, or make it "
            "again.",
            run=v["run"],
        )
    return _(
        "{run} disagrees with the other attempts, so it counts little. It went {measured}, and the "
        "others predict {modelled}. Look at it, or make it again.",
        run=v["run"],
        measured=shown(v, "measured_m"),
        modelled=shown(v, "modelled_m"),
    )


def _other_wheels(v: Values) -> str:
    return _(
        "{run} ran on other wheels than {first}. Only cars with the same wheels and axles share "
        "their losses, so calibrate each set by itself.",
        run=v["run"],
        first=v["first_run"],
    )


def _other_car(v: Values) -> str:
    return _(
        "{run} is an attempt of {car}, and its losses are taken for {planned}. That holds if both "
        "have the same wheels, axles and floor.",
        run=v["run"],
        car=v["car"],
        planned=v["planned"],
    )


def round_words(done: int, most: int) -> str:
    """How far a fit of all runs at once is."""
    return _(
        "fitting all attempts at once, round {round} of at most {most}",
        round=min(done + 1, most),
        most=most,
    )


def reading_words(number: int, count: int) -> str:
    """Which attempt is being read."""
    return _("reading attempt {number} of {count}", number=number, count=count)


def _other_weight(v: Values) -> str:
    return _(
        "{run} carried {weight}, and this car carries {planned}. The attempt counts with its own "
        "weight.",
        run=v["run"],
        weight=shown(v, "weight_kg"),
        planned=shown(v, "planned_kg"),
    )


def _unlike_floor(v: Values) -> str:
    return f"{v['run']} is left out: it fits no floor that fits the others."


def _floor_not_shown(v: Values) -> str:
    return (
        "A level floor explains these attempts as well: what looks uneven is within "
        f"{in_mm(v, 'half_m', 1)}, which errors of measuring alone can cause."
    )


def _floor_one_way(v: Values) -> str:
    return (
        "These attempts cannot separate the floor's mean slope from the rolling resistance. Run "
        "from the other end, too, and give those with --back."
    )


def _rolled_back(v: Values) -> str:
    return _(
        "{run} rolled back and came to rest at {measured}, and on the floor that was given the "
        "model has it rest at {modelled}. Describe the floor, or let attempts show how it rises.",
        run=v["run"],
        measured=shown(v, "measured_m"),
        modelled=shown(v, "modelled_m"),
    )


def _wound_otherwise(v: Values) -> str:
    return _(
        "{run} shows {turns} turns on tier {tier} (within {within}), not {said}. Count again, or "
        "correct its winding.",
        run=v["run"],
        tier=v["tier"],
        turns=quantity(number(v, "turns"), ""),
        within=localised(format(2.0 * number(v, "sd"), ".1g")),
        said=localised(format(number(v, "said"), "g")),
    )


def _speed_drag_together(v: Values) -> str:
    return _(
        "Air, and drag that grows with speed, take {force} together at {speed} (90 % between {low}"
        " and {high}). These attempts cannot separate the two; attempts with clearly slower and"
        " faster peaks would.",
        force=shown(v, "drag_n", 3),
        speed=shown(v, "speed_m_s"),
        low=shown(v, "low_n", 3),
        high=shown(v, "high_n", 3),
    )


def _resistance_together(v: Values) -> str:
    return _(
        "Rolling and rubbing parts together hold the car of {mass} back with {force} (90 % between"
        " {low} and {high}), as if {hung} hung against it.",
        mass=shown(v, "mass_kg"),
        force=shown(v, "resistance_n", 3),
        low=shown(v, "low_n", 3),
        high=shown(v, "high_n", 3),
        hung=hung(number(v, "resistance_n")),
    )


def _sum() -> str:
    return _(
        "These attempts cannot separate rolling, which grows with the car's mass, from parts that"
        " rub alike at any mass."
    )


def _one_mass(v: Values) -> str:
    cure = _(
        "Attempts with a clearly heavier or lighter car would separate them. If you know the"
        " constant drag, write it among the car's losses."
    )
    return f"{_sum()} {cure}"


def _constant_drag_open(v: Values) -> str:
    return _("The constant drag is still open. Repeat the lightest and the heaviest attempt.")


def _constant_drag_stated(v: Values) -> str:
    cure = _(
        "The value of rolling rests on the constant drag among the car's losses. If that was not"
        " measured, leave it out."
    )
    return f"{_sum()} {cure}"


def _air_drag_open(v: Values) -> str:
    return _(
        "At these speeds the air drag is too small to estimate. A faster attempt would show it: "
        "wind more turns on the smaller tiers, or take a heavier weight."
    )


def _efficiency_open(v: Values) -> str:
    return _(
        "The drive's efficiency is open. An attempt that is recorded from its launch would show it."
    )


def _few_runs(v: Values) -> str:
    return many(
        "{count} more attempt with the same winding would show how much attempts scatter.",
        "{count} more attempts with the same winding would show how much attempts scatter.",
        number(v, "more"),
    )


def _level_assumed(v: Values) -> str:
    return _(
        "The floor is taken as level. A fall of 1 mm per metre looks like a rolling coefficient "
        "that is 0.001 smaller. Level the track, or run it the other way, too."
    )


TEXTS: dict[str, Text] = {
    CalibrationCode.TOO_FEW_EDGES: _too_few_edges,
    CalibrationCode.SLOWING_NOT_SEEN: _slowing_not_seen,
    CalibrationCode.RUN_LEFT_OUT: _run_left_out,
    CalibrationCode.COAST_ONLY: _coast_only,
    CalibrationCode.BEGINS_AFTER_LAUNCH: _begins_after_launch,
    CalibrationCode.STOP_NOT_SEEN: _stop_not_seen,
    CalibrationCode.RUN_DISAGREES: _run_disagrees,
    CalibrationCode.OTHER_WHEELS: _other_wheels,
    CalibrationCode.OTHER_CAR: _other_car,
    CalibrationCode.OTHER_WEIGHT: _other_weight,
    CalibrationCode.UNLIKE_FLOOR: _unlike_floor,
    CalibrationCode.FLOOR_NOT_SHOWN: _floor_not_shown,
    CalibrationCode.FLOOR_ONE_WAY: _floor_one_way,
    CalibrationCode.ROLLED_BACK: _rolled_back,
    CalibrationCode.WOUND_OTHERWISE: _wound_otherwise,
    CalibrationCode.TAPE_DISAGREES: tape_disagrees,
    CalibrationCode.DRIVE_UNUSUAL: drive_unusual,
    CalibrationCode.DRIVE_OTHERWISE: drive_otherwise,
    CalibrationCode.SPEED_DRAG_TOGETHER: _speed_drag_together,
    CalibrationCode.RESISTANCE_TOGETHER: _resistance_together,
    CalibrationCode.ONE_MASS: _one_mass,
    CalibrationCode.CONSTANT_DRAG_OPEN: _constant_drag_open,
    CalibrationCode.CONSTANT_DRAG_STATED: _constant_drag_stated,
    CalibrationCode.AIR_DRAG_OPEN: _air_drag_open,
    CalibrationCode.EFFICIENCY_OPEN: _efficiency_open,
    CalibrationCode.FEW_RUNS: _few_runs,
    CalibrationCode.LEVEL_ASSUMED: _level_assumed,
    **DRAG_TEXTS,
}
