"""What a prediction finds, in sentences: what will happen, then what to do about it."""

from __future__ import annotations

from unspool.language import _, later, localised
from unspool.model.codes import PredictionCode
from unspool.render.words.values import Text, Values, in_mm, listed, number, shown, words

_LOSSES = {
    "rolling_coefficient": later("rolling coefficient"),
    "constant_drag_n": later("constant drag"),
    "linear_drag_n_s_per_m": later("linear drag"),
    "drive_efficiency": later("drive efficiency"),
    "break_away_coefficient": later("break-away coefficient"),
    "tyre_friction": later("grip of the tyres"),
}


def _does_not_start(v: Values) -> str:
    return _(
        "The car does not start: the first tier pulls with only {margin} of the "
        "force that it takes. Take a larger first tier, a heavier weight or freer wheels.",
        margin=shown(v, "start_margin"),
    )


def _may_not_start(v: Values) -> str:
    share = f"{100.0 * number(v, 'share'):.0f} %"
    return _(
        "With {share} of the losses that are likely, the car does not "
        "start. The interval is that of the others.",
        share=share,
    )


def _stops_on_tier(v: Values) -> str:
    return _(
        "The car stops on tier {tier!r} while the weight still hangs: this tier is too small "
        "to pull it on.",
        tier=v["tier"],
    )


def _never_stops(_values: Values) -> str:
    return _(
        "Nothing stops this car, as its rolling coefficient and its constant drag are both 0. Give "
        "one of them among its losses."
    )


def _rolls_back(v: Values) -> str:
    return _(
        "The car rolls back from {place}. Keep the floor behind it clear, too.",
        place=shown(v, "from_m"),
    )


def _larger_tier(v: Values) -> str:
    return _(
        "Tier {tier!r} is larger than {before!r} before it. The string goes slack and "
        "then jerks, and nothing is gained.",
        tier=v["tier"],
        before=v["before"],
    )


def _taper_outruns_weight(v: Values) -> str:
    return _(
        "The taper of {tier!r} outruns the weight: the predicted distance is too long. Make "
        "the taper gentler.",
        tier=v["tier"],
    )


def _wheels_slip(v: Values) -> str:
    return _(
        "The driven wheels slip: they grip with {margin} of the force that they need. "
        "The prediction holds only if they do not slip.",
        margin=shown(v, "margin"),
    )


def _tips_back(v: Values) -> str:
    return _(
        "The car tips back at the start: what holds its front down is {margin} of "
        "what lifts it. Lower the car, make it longer, or start on a smaller tier.",
        margin=shown(v, "margin"),
    )


def _string_may_break(v: Values) -> str:
    return _(
        "The string may break at a knot: it pulls with up to {pull}, and "
        "a knot holds {margin} of that. Take a stronger string and stand clear.",
        margin=shown(v, "margin"),
        pull=shown(v, "peak_tension_n", 0),
    )


def _string_margin_low(v: Values) -> str:
    return _(
        "The string pulls with up to {pull}, and a knot holds only "
        "{margin} times that. Take a stronger string, and keep faces away from it.",
        margin=shown(v, "margin", 1),
        pull=shown(v, "peak_tension_n", 0),
    )


def _string_too_long(v: Values) -> str:
    return _(
        "The string on the drum is {string} for a drop of {drop}. Check turns and diameters.",
        string=shown(v, "string_m"),
        drop=shown(v, "drop_m"),
    )


def _weight_lands_first(v: Values) -> str:
    return _(
        "The weight lands with {spare} of string still on the drum.", spare=in_mm(v, "spare_m")
    )


def _drop_not_used(v: Values) -> str:
    return _(
        "The string lets go {early} before the weight lands, which leaves {left} in the weight.",
        early=in_mm(v, "early_m"),
        left=shown(v, "left_j"),
    )


def _break_away_below_rolling(v: Values) -> str:
    return _(
        "The break-away coefficient, {break_away}, is below the rolling coefficient, {rolling}. At "
        "rest the car is held by the larger of both.",
        break_away=localised(f"{number(v, 'break_away'):g}"),
        rolling=localised(f"{number(v, 'rolling'):g}"),
    )


def _air_drag_left_out(_values: Values) -> str:
    return _("Air drag is left out: give the car's frontal area and its drag coefficient.")


def _handbook_losses(v: Values) -> str:
    names = tuple(_(_LOSSES.get(name, name)) for name in words(v, "losses"))
    return _("From the handbook: {names}. Calibrate from attempts.", names=listed(names))


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
