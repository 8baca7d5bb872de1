"""What a prediction finds, in sentences: what will happen, then what to do about it."""

from __future__ import annotations

from unspool.model.codes import PredictionCode
from unspool.render.words.values import Text, Values, in_mm, listed, number, shown, words


def _does_not_start(v: Values) -> str:
    return (
        f"The car does not start: the first tier pulls with only {shown(v, 'start_margin')} of the "
        "force that it takes. Take a larger first tier, a heavier weight or freer wheels."
    )


def _may_not_start(v: Values) -> str:
    return (
        f"With {100.0 * number(v, 'share'):.0f} % of the losses that are likely, the car does not "
        "start. The interval is that of the others."
    )


def _stops_on_tier(v: Values) -> str:
    return (
        f"The car stops on tier {v['tier']!r} while the weight still hangs: this tier is too small "
        "to pull it on."
    )


def _never_stops(_: Values) -> str:
    return (
        "Nothing stops this car, as rolling_coefficient and constant_drag_n are both 0. Give one "
        "of them under [losses]."
    )


def _rolls_back(v: Values) -> str:
    return f"The car rolls back from {shown(v, 'from_m')}. Keep the floor behind it clear, too."


def _larger_tier(v: Values) -> str:
    return (
        f"Tier {v['tier']!r} is larger than {v['before']!r} before it. The string goes slack and "
        "then jerks, and nothing is gained."
    )


def _taper_outruns_weight(v: Values) -> str:
    return (
        f"The taper of {v['tier']!r} outruns the weight: the predicted distance is too long. Make "
        "the taper gentler."
    )


def _wheels_slip(v: Values) -> str:
    return (
        f"The driven wheels slip: they grip with {shown(v, 'margin')} of the force that they need. "
        "The prediction holds only if they do not slip."
    )


def _tips_back(v: Values) -> str:
    return (
        f"The car tips back at the start: what holds its front down is {shown(v, 'margin')} of "
        "what lifts it. Lower the car, make it longer, or start on a smaller tier."
    )


def _string_may_break(v: Values) -> str:
    return (
        f"The string may break at a knot: it pulls with up to {shown(v, 'peak_tension_n', 0)}, and "
        f"a knot holds {shown(v, 'margin')} of that. Take a stronger string and stand clear."
    )


def _string_margin_low(v: Values) -> str:
    return (
        f"The string pulls with up to {shown(v, 'peak_tension_n', 0)}, and a knot holds only "
        f"{shown(v, 'margin', 1)} times that. Take a stronger string, and keep faces away from it."
    )


def _string_too_long(v: Values) -> str:
    return (
        f"The string on the drum is {shown(v, 'string_m')} for a drop of {shown(v, 'drop_m')}. "
        "Check turns and diameters."
    )


def _weight_lands_first(v: Values) -> str:
    return f"The weight lands with {in_mm(v, 'spare_m')} of string still on the drum."


def _drop_not_used(v: Values) -> str:
    return (
        f"The string lets go {in_mm(v, 'early_m')} before the weight lands, which leaves "
        f"{shown(v, 'left_j')} in the weight."
    )


def _break_away_below_rolling(v: Values) -> str:
    break_away, rolling = number(v, "break_away"), number(v, "rolling")
    return (
        f"break_away_coefficient {break_away:g} is below rolling_coefficient {rolling:g}. At rest "
        "the car is held by the larger of both."
    )


def _air_drag_left_out(_: Values) -> str:
    return "Air drag is left out: give frontal_area_cm2 and drag_coefficient under [body]."


def _handbook_losses(v: Values) -> str:
    names = words(v, "losses")
    are = "is a handbook value" if len(names) == 1 else "are handbook values"
    return f"{listed(names)} {are}: calibrate from attempts."


TEXTS: dict[str, Text] = {
    PredictionCode.DOES_NOT_START: _does_not_start,
    PredictionCode.MAY_NOT_START: _may_not_start,
    PredictionCode.STOPS_ON_TIER: _stops_on_tier,
    PredictionCode.NEVER_STOPS: _never_stops,
    PredictionCode.ROLLS_BACK: _rolls_back,
    PredictionCode.LARGER_TIER: _larger_tier,
    PredictionCode.TAPER_OUTRUNS_WEIGHT: _taper_outruns_weight,
    PredictionCode.WHEELS_SLIP: _wheels_slip,
    PredictionCode.TIPS_BACK: _tips_back,
    PredictionCode.STRING_MAY_BREAK: _string_may_break,
    PredictionCode.STRING_MARGIN_LOW: _string_margin_low,
    PredictionCode.STRING_TOO_LONG: _string_too_long,
    PredictionCode.WEIGHT_LANDS_FIRST: _weight_lands_first,
    PredictionCode.DROP_NOT_USED: _drop_not_used,
    PredictionCode.BREAK_AWAY_BELOW_ROLLING: _break_away_below_rolling,
    PredictionCode.AIR_DRAG_LEFT_OUT: _air_drag_left_out,
    PredictionCode.HANDBOOK_LOSSES: _handbook_losses,
}
