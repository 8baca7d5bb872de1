"""What a reading finds of the edges themselves, in sentences: lost, doubtful, or cut off."""

from __future__ import annotations

from unspool.language import _, later, localised, many
from unspool.reading.edges.ending import Ending
from unspool.render.words.units import quantity
from unspool.render.words.values import Values, in_mm, maybe, number, shown

_BOTH_SENSORS = later("Record with both sensors, so that each edge has a direction.")


def launch_not_seen(v: Values) -> str:
    return _(
        "At the first edge the car already went {speed}. Distances count from there. Start "
        "recording before the launch.",
        speed=shown(v, "speed_m_s"),
    )


def handled(v: Values) -> str:
    if "edges" in v:
        return many(
            "A hand moved the wheel before or after the attempt: {count} edge was left out.",
            "A hand moved the wheel before or after the attempt: {count} edges were left out.",
            number(v, "edges"),
        )
    return _(
        "From {begin} to {end} the car gained speed faster than the weight can drive it. A hand "
        "pushed it, or the car file has a wrong wheel or wrong pulses_per_turn. What follows is "
        "not the weight's work alone.",
        begin=shown(v, "begin_m"),
        end=shown(v, "end_m"),
    )


def missing_edges(v: Values) -> str:
    missing, uncertain = number(v, "missing"), number(v, "uncertain")
    sure = many("The reading allows for it.", "The reading allows for them.", missing)
    if uncertain:
        sure = many(
            "At one gap the number is not certain, so later distances may be off by a slot.",
            "At {count} gaps the number is not certain, so later distances may be off by a slot.",
            uncertain,
        )
    lost = many("{count} edge is missing.", "{count} edges are missing.", missing)
    cure = _("Check the sensor's distance to the disc and shade it from bright light.")
    return _of_run(v, f"{lost} {sure} {cure}")


def chatter(v: Values) -> str:
    seen = many(
        "The sensor gave {count} edge that no slot made.",
        "The sensor gave {count} edges that no slot made.",
        number(v, "edges"),
    )
    cure = _("Clean the disc's slots and fix the sensor so that it cannot shake.")
    return _of_run(v, f"{seen} {cure}")


def coarse_times(v: Values) -> str:
    rounded = _(
        "The times are rounded to {tick}: where the car was fastest, each edge's place is "
        "uncertain by {place}.",
        tick=quantity(1000.0 * number(v, "tick_s"), "ms"),
        place=in_mm(v, "place_sd_m"),
    )
    follows = _(
        "An edge that the sensor missed cannot be seen there, so the distance may be short by "
        "some slots."
    )
    if not v["hides"]:
        follows = _("The intervals allow for it.")
    cure = _("Export times with more decimals.")
    return f"{rounded} {follows} {cure}"


def slot_count_doubtful(v: Values) -> str:
    likelier, factor = number(v, "likelier_edges"), maybe(v, "factor")
    said = {
        "claimed": quantity(number(v, "claimed_edges"), "", 0),
        "likelier": quantity(likelier, "", 0),
    }
    if factor is None:
        seen = _(
            "The car file says {claimed} edges a turn, but the disc seems to have {likelier}: the "
            "slots' own pattern repeats every {likelier} edges.",
            **said,
        )
    else:
        seen = _(
            "The car file says {claimed} edges a turn, but the disc seems to have {likelier}: "
            "everything happens {factor} times as far as the winding says.",
            factor=localised(f"{factor:g}"),
            **said,
        )
    cure = _(
        "Until that is right, all distances and speeds are wrong by that factor. Count the edges "
        "in one turn of the axle and set pulses_per_turn."
    )
    return f"{seen} {cure}"


def direction_not_known(v: Values) -> str:
    turns = number(v, "turns")
    if turns:
        seen = f"{_turned(v, turns)}{_rest(v)}"
    elif v["due_m"] is None:
        seen = _(
            "One sensor shows no direction, so all edges are taken as forward. If the car rolled "
            "back in the end, no edge can show it."
        )
    else:
        seen = _(
            "The edges have no direction, and no turning point shows. The track should turn the "
            "car round at {due}: distances beyond that may be travel to and fro.",
            due=shown(v, "due_m"),
        )
    return f"{seen} {_(_BOTH_SENSORS)}"


def _turned(v: Values, turns: float) -> str:
    seen = _(
        "The edges have no direction. They slow down to rest and start again, so unspool assumes "
        "that the car turned round at {place}.",
        place=shown(v, "furthest_m"),
    )
    if turns > 1:
        seen = _(
            "The edges have no direction. They slow down to rest and start again, so unspool "
            "assumes that the car turned round {count} times, first at {place}.",
            count=quantity(turns, "", 0),
            place=shown(v, "furthest_m"),
        )
    certain = _("Distances up to there are certain.")
    return f"{seen} {certain}"


def _rest(v: Values) -> str:
    """Where a car that swung to and fro came to rest."""
    if v["rest_low_m"] is None:
        return ""
    low, high = shown(v, "rest_low_m"), shown(v, "rest_high_m")
    if low == high:
        return " " + _("It came to rest at about {place}.", place=low)
    return " " + _("It came to rest between about {low} and {high}.", low=low, high=high)


_CUT = {
    Ending.BOARD_RESTARTED: later("The board restarted during the attempt."),
    Ending.RECORDING_STOPPED: later("The recording was stopped before the car stood still."),
    Ending.EDGES_LOST: later("The last edges of the attempt were lost on the board."),
}
_CUT_OTHERWISE = later("It was caught, hit something, or was no longer recorded.")


def cut_short(v: Values) -> str:
    return _(
        "The edges end while the car still went {speed}. {why} How far it went was not measured: "
        "it was last seen at its last edge. Record until the car stands still.",
        speed=shown(v, "speed_m_s"),
        why=_(_CUT.get(Ending(str(v["ending"])), _CUT_OTHERWISE)),
    )


def edges_lost_before(v: Values) -> str:
    lost = many(
        "{count} edge before the first one is lost: the board's memory was full.",
        "{count} edges before the first one are lost: the board's memory was full.",
        number(v, "edges"),
    )
    cure = _(
        "Distances count from the first edge, so how far the car went was not measured. Connect "
        "the link sooner."
    )
    return f"{lost} {cure}"


def _of_run(v: Values, text: str) -> str:
    """With the run or push that a finding is about, if it is one of several."""
    return _("{run}: {text}", run=v["run"], text=text) if "run" in v else text
