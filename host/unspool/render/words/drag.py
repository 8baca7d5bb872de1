"""What coasts and attempts that hardly start show of the drag, in sentences."""

from __future__ import annotations

from unspool.finding import in_words
from unspool.language import _
from unspool.render.words.values import Text, Values, listed, number, words
from unspool.study.calibration import CalibrationCode


def _drag_grows(v: Values) -> str:
    return _(
        "A single rolling coefficient does not explain these coasts: fast ones end sooner than "
        "slow ones predict. So the air or the bearings drag more at speed."
    )


def _rests_contradict(v: Values) -> str:
    if v["held_run"] is None:
        return f"{v['run']} set off, but the rolling resistance alone would hold it. Was it pushed?"
    return (
        f"{v['run']} and {v['held_run']} contradict each other: {v['run']} set off with a pull "
        f"that did not move the car in {v['held_run']}. Was one of them pushed?"
    )


def _no_run_held(v: Values) -> str:
    return (
        "No attempt shows how hard the car holds at rest. Wind on smaller and smaller tiers, or "
        "take less weight, until it just does not start. Record that, too."
    )


def _break_away_wide(v: Values) -> str:
    return (
        "To narrow it, wind on a first tier between the one that just started and the one that "
        "just did not."
    )


def _constant_law_rejected(v: Values) -> str:
    return (
        "A single rolling coefficient does not explain these coasts. By chance alone they would "
        f"differ as much in only {100.0 * number(v, 'chance'):.2g} % of cases. Either the air or "
        "the bearings drag more at speed, or every distance is measured from a wrong place."
    )


def _no_repeats(v: Values) -> str:
    return (
        "Without repeats from one speed, no law can be rejected. Coast at least twice from each "
        "speed."
    )


def _no_law_fits(v: Values) -> str:
    return "No law explains these coasts. Look for odd ones among them."


def _laws_alike(v: Values) -> str:
    laws = listed(tuple(f"`{law}`" for law in words(v, "laws")))
    return (
        f"These coasts cannot separate the laws {laws}. Coasts from clearly slower and faster "
        "speeds would. Measure each distance from where the wheel stood."
    )


def _one_law(v: Values) -> str:
    return f"Only the law `{v['law']}` explains these coasts."


def _law_impossible(v: Values) -> str:
    return (
        f"The law `{v['law']}` cannot be fitted to these coasts: {in_words(str(v['fault']))}. "
        "Check each speed and distance, and that the floor is level."
    )


DRAG_TEXTS: dict[str, Text] = {
    CalibrationCode.DRAG_GROWS: _drag_grows,
    CalibrationCode.RESTS_CONTRADICT: _rests_contradict,
    CalibrationCode.NO_RUN_HELD: _no_run_held,
    CalibrationCode.BREAK_AWAY_WIDE: _break_away_wide,
    CalibrationCode.CONSTANT_LAW_REJECTED: _constant_law_rejected,
    CalibrationCode.NO_REPEATS: _no_repeats,
    CalibrationCode.NO_LAW_FITS: _no_law_fits,
    CalibrationCode.LAWS_ALIKE: _laws_alike,
    CalibrationCode.ONE_LAW: _one_law,
    CalibrationCode.LAW_IMPOSSIBLE: _law_impossible,
}
