"""What a reading finds, in sentences: what was seen, then what to do about it."""

from __future__ import annotations

from unspool.reading.edges.ending import Ending
from unspool.reading.events.codes import ReadingCode
from unspool.render.words.units import quantity
from unspool.render.words.values import (
    Text,
    Values,
    bare,
    counted,
    in_mm,
    listed,
    maybe,
    number,
    shown,
    times,
    words,
)

_MORE_GRIP = "Clean the tyre, put more load on the driven axle, or start on a smaller tier."
_BOTH_SENSORS = "Record with both sensors, so that each edge has a direction."


def _did_not_start(v: Values) -> str:
    edges = counted(number(v, "edges"), "edge")
    if v["backwards"]:
        return (
            f"The wheel only turned backwards ({edges}). If that was the attempt and not the "
            "winding, sensors A and B are swapped: exchange their wires."
        )
    if v["starts"]:
        return (
            f"The car did not start ({edges} seen), but the model expects that it does. Look for "
            "a caught string, a rubbing wheel, or a weight that was still held."
        )
    return (
        f"The car did not start ({edges} seen). The model agrees: the first tier pulls with only "
        f"{shown(v, 'start_margin')} of the force that it takes. Wind on a larger tier first."
    )


def _launch_not_seen(v: Values) -> str:
    return (
        f"At the first edge the car already went {shown(v, 'speed_m_s')}. Distances count from "
        "there. Start recording before the launch."
    )


def _slip_at_start(v: Values) -> str:
    if "spun_s" not in v:
        return (
            f"{_from_to(v)} the wheel gained speed faster than the drum can drive the car, and "
            f"then waited for the car. The tyre slipped. {_MORE_GRIP}"
        )
    return (
        f"The wheel spun at the start for {shown(v, 'spun_s')}, until the tyre gripped at "
        f"{shown(v, 'grip_m_s')}. It turned {shown(v, 'turned_m')}, about {shown(v, 'lost_m')} "
        "more than the car went. All distances are the wheel's: the car went that much less far. "
        f"{_MORE_GRIP}"
    )


def _handled(v: Values) -> str:
    if "edges" in v:
        edges = number(v, "edges")
        were = "was" if edges == 1 else "were"
        return (
            f"A hand moved the wheel before or after the attempt: {counted(edges, 'edge')} {were} "
            "left out."
        )
    return (
        f"{_from_to(v)} the car gained speed faster than the weight can drive it. A hand pushed "
        "it, or the car file has a wrong wheel or wrong pulses_per_turn. What follows is not "
        "the weight's work alone."
    )


def _missing_edges(v: Values) -> str:
    missing, uncertain = number(v, "missing"), number(v, "uncertain")
    are = "is" if missing == 1 else "are"
    gaps = "one gap" if uncertain == 1 else f"{uncertain:g} gaps"
    sure = (
        f"At {gaps} the number is not certain, so later distances may be off by a slot."
        if uncertain
        else f"The reading allows for {'it' if missing == 1 else 'them'}."
    )
    return (
        f"{_of_run(v)}{counted(missing, 'edge')} {are} missing. {sure} Check the sensor's distance "
        "to the disc and shade it from bright light."
    )


def _chatter(v: Values) -> str:
    return (
        f"{_of_run(v)}The sensor gave {counted(number(v, 'edges'), 'edge')} that no slot made. "
        "Clean the disc's slots and fix the sensor so that it cannot shake."
    )


def _coarse_times(v: Values) -> str:
    rounded = (
        f"The times are rounded to {quantity(1000.0 * number(v, 'tick_s'), 'ms')}: where the car "
        f"was fastest, each edge's place is uncertain by {in_mm(v, 'place_sd_m')}."
    )
    if not v["hides"]:
        return f"{rounded} The intervals allow for it. Export times with more decimals."
    return (
        f"{rounded} An edge that the sensor missed cannot be seen there, so the distance may be "
        "short by some slots. Export times with more decimals."
    )


def _slot_count_doubtful(v: Values) -> str:
    claimed, likelier = number(v, "claimed_edges"), number(v, "likelier_edges")
    factor = maybe(v, "factor")
    why = (
        f"the slots' own pattern repeats every {likelier:g} edges"
        if factor is None
        else f"everything happens {factor:g} times as far as the winding says"
    )
    return (
        f"The car file says {claimed:g} edges a turn, but the disc seems to have {likelier:g}: "
        f"{why}. Until that is right, all distances and speeds are wrong by that factor. Count "
        "the edges in one turn of the axle and set pulses_per_turn."
    )


def _direction_not_known(v: Values) -> str:
    turns = number(v, "turns")
    if not turns and v["due_m"] is None:
        return (
            "One sensor shows no direction, so all edges are taken as forward. If the car rolled "
            f"back in the end, no edge can show it. {_BOTH_SENSORS}"
        )
    if not turns:
        return (
            "The edges have no direction, and no turning point shows. The track should turn the "
            f"car round at {shown(v, 'due_m')}: distances beyond that may be travel to and fro. "
            f"{_BOTH_SENSORS}"
        )
    turned = times(turns) + (", first" if turns > 1 else "")
    return (
        "The edges have no direction. They slow down to rest and start again, so unspool assumes "
        f"that the car turned round {turned} at {shown(v, 'furthest_m')}. Distances up to there "
        f"are certain.{_rest(v)} {_BOTH_SENSORS}"
    )


def _rest(v: Values) -> str:
    """Where a car that swung to and fro came to rest."""
    if v["rest_low_m"] is None:
        return ""
    low, high = shown(v, "rest_low_m"), shown(v, "rest_high_m")
    place = f"at about {low}" if low == high else f"between about {low} and {high}"
    return f" It came to rest {place}."


def _tier_change_not_seen(v: Values) -> str:
    change = f"The change from {v['from_tier']} to {v['to_tier']}, expected at "
    change += shown(v, "expected_m")
    if v["edges"] is not None:
        edges = number(v, "edges")
        return (
            f"{change}, cannot be placed: a stretch beside it has only {counted(edges, 'edge')}. "
            "A disc with more edges a turn would show it."
        )
    return (
        f"{change}, does not show. Either the string crossed over at the very "
        "start, or both tiers pull almost alike."
    )


def _weight_landed_first(v: Values) -> str:
    return (
        f"The weight landed at {shown(v, 'at_m')} with {in_mm(v, 'slack_m')} of string still "
        "wound. From there the car coasted while the string unwound slack. Wind that much less, "
        "so that the string does not tangle."
    )


def _early_release(v: Values) -> str:
    left = f"{shown(v, 'left_j')} of {shown(v, 'stored_j')}"
    if v["early_m"] is None:
        return (
            f"The wound string is shorter than the drop, so {left} stayed in the weight. Wind "
            "more turns if the tower allows it."
        )
    return (
        f"The string let go at {shown(v, 'at_m')}, {shown(v, 'early_m')} before it was off the "
        f"drum as wound: {left} stayed in the weight. Look at the loop and the peg. Or the string "
        f"was wound {in_mm(v, 'string_m')} shorter than said: count the turns again.{_or_slip(v)}"
    )


def _or_slip(v: Values) -> str:
    if v["slip_share"] is None:
        return ""
    share = quantity(100.0 * number(v, "slip_share"), "%", 1)
    return f" A driven wheel that slipped by {share} all along would look the same."


def _released_late(v: Values) -> str:
    return (
        f"The string let go at {shown(v, 'at_m')}, {shown(v, 'late_m')} later than wound. It is "
        f"about {in_mm(v, 'string_m')} longer than said, or {shown(v, 'turns')} turns more were on "
        "the last tier. Count the turns again."
    )


def _winding_differs(v: Values) -> str:
    tiers = words(v, "tiers")
    on = f"the tier {tiers[0]}" if len(tiers) == 1 else f"the tiers {listed(tiers)} together"
    off = number(v, "measured_turns") - number(v, "said_turns")
    return (
        f"The attempt shows {shown(v, 'measured_turns')} turns on {on}, and not "
        f"{shown(v, 'said_turns')}: {quantity(abs(off), '')} {'more' if off > 0.0 else 'fewer'}. "
        "Correct its winding, or count the next one again."
    )


def _tiers_in_wrong_order(v: Values) -> str:
    return (
        f"The tiers pulled in the order {listed(words(v, 'found'), 'then')}, and not "
        f"{listed(words(v, 'said'), 'then')}. Wind the tier that is to pull last first, or put the "
        "car file's tiers in the order in which the string leaves them."
    )


def _slipping(v: Values) -> str:
    share = quantity(100.0 * number(v, "share"), "%", 1)
    if v["turns"] is None:
        return (
            f"Where the drive ended, at {shown(v, 'over_m')}, the driven wheel lost {share} of its "
            "speed at once. A string that holds at the peg takes another share. So the wheel "
            "slipped by that share up to there, and the car went "
            f"{_slipped_way(v, 'share', 'over_m')} less far than said here. {_MORE_GRIP}"
        )
    return (
        f"Up to {shown(v, 'over_m')} the car went {share} less far than the drum's turns make. The "
        "driven wheel slipped all along, or the rolling circumference of one of the axles is "
        f"wrong. Or {shown(v, 'turns')} turns fewer were wound, by the same share on each tier. "
        f"{_MORE_GRIP}"
    )


def _slipped_way(v: Values, share: str, until_m: str) -> str:
    return quantity(number(v, share) * number(v, until_m), "m")


def _string_held(v: Values) -> str:
    held = (
        f"The string held at the peg: at {shown(v, 'at_m')}, where it should let go, the car "
        "braked hard."
    )
    lost = slipped = ""
    if v["lost_m_s"] is not None:
        lost = f"It lost {shown(v, 'lost_m_s')} of {shown(v, 'before_m_s')} at once."
    cure = "File the peg smooth, lean it towards the pull, and tie no knot at the loop."
    if v["slip_share"] is not None:
        slipped = (
            f"Or the driven wheel, which the sensor watches, slipped by "
            f"{quantity(100.0 * number(v, 'slip_share'), '%', 1)} up to there. Then the car went "
            f"{_slipped_way(v, 'slip_share', 'at_m')} less far than said here, and a tape shows it."
        )
    return " ".join(filter(None, (held, lost, cure, slipped)))


def _swaying(v: Values) -> str:
    push = shown(v, "amplitude_m_s2")
    if v["of_weight"]:
        return (
            f"{_from_to(v)} the hanging weight swung and pushed the car to and fro by {push}. It "
            f"swung {bare(v, 'first_hz')} times a second at first and {bare(v, 'last_hz')} in the "
            "end, because the string grew longer. Let go only when the weight hangs still, "
            "shorten its free string, or guide it between two wires."
        )
    return (
        f"{_from_to(v)} the tower, or the weight in it, swung at {shown(v, 'first_hz', 1)}. It "
        f"pushed the car to and fro by {push}. Brace the tower, guide the weight, and let go only "
        "when it hangs still."
    )


def _energy_unexplained(v: Values) -> str:
    gap = number(v, "unexplained_j")
    size = quantity(abs(gap), "J")
    off = f"{size} are missing" if gap > 0.0 else f"there are {size} too many"
    return (
        f"The energies do not add up to the {shown(v, 'stored_j')} of the weight: {off}. In the "
        "car file, check the masses, the drop, the rolling circumference and pulses_per_turn. "
        "Did a hand push the car?"
    )


_CUT = {
    Ending.BOARD_RESTARTED: "The board restarted during the attempt.",
    Ending.RECORDING_STOPPED: "The recording was stopped before the car stood still.",
    Ending.EDGES_LOST: "The last edges of the attempt were lost on the board.",
}


def _cut_short(v: Values) -> str:
    why = _CUT.get(
        Ending(str(v["ending"])), "It was caught, hit something, or was no longer recorded."
    )
    return (
        f"The edges end while the car still went {shown(v, 'speed_m_s')}. {why} How far it went "
        "was not measured: it was last seen at its last edge. Record until the car stands still."
    )


def _edges_lost_before(v: Values) -> str:
    edges = number(v, "edges")
    are = "is" if edges == 1 else "are"
    return (
        f"{counted(edges, 'edge')} before the first one {are} lost: the board's memory was full. "
        "Distances count from the first edge, so how far the car went was not measured. Connect "
        "the link sooner."
    )


def _rollback(v: Values) -> str:
    return (
        f"The car rolled back {shown(v, 'back_m')} from its furthest point: the floor there is "
        "too steep for its rolling resistance. Use less energy or another line."
    )


def _from_to(v: Values) -> str:
    return f"From {shown(v, 'begin_m')} to {shown(v, 'end_m')}"


def _of_run(v: Values) -> str:
    """The run or push that a finding is about, if it is one of several."""
    return f"{v['run']}: " if "run" in v else ""


TEXTS: dict[str, Text] = {
    ReadingCode.DID_NOT_START: _did_not_start,
    ReadingCode.LAUNCH_NOT_SEEN: _launch_not_seen,
    ReadingCode.SLIP_AT_START: _slip_at_start,
    ReadingCode.HANDLED: _handled,
    ReadingCode.MISSING_EDGES: _missing_edges,
    ReadingCode.CHATTER: _chatter,
    ReadingCode.COARSE_TIMES: _coarse_times,
    ReadingCode.SLOT_COUNT_DOUBTFUL: _slot_count_doubtful,
    ReadingCode.DIRECTION_NOT_KNOWN: _direction_not_known,
    ReadingCode.TIER_CHANGE_NOT_SEEN: _tier_change_not_seen,
    ReadingCode.WEIGHT_LANDED_FIRST: _weight_landed_first,
    ReadingCode.EARLY_RELEASE: _early_release,
    ReadingCode.RELEASED_LATE: _released_late,
    ReadingCode.WINDING_DIFFERS: _winding_differs,
    ReadingCode.TIERS_IN_WRONG_ORDER: _tiers_in_wrong_order,
    ReadingCode.SLIPPING: _slipping,
    ReadingCode.STRING_HELD: _string_held,
    ReadingCode.SWAYING: _swaying,
    ReadingCode.ENERGY_UNEXPLAINED: _energy_unexplained,
    ReadingCode.CUT_SHORT: _cut_short,
    ReadingCode.EDGES_LOST_BEFORE: _edges_lost_before,
    ReadingCode.ROLLBACK: _rollback,
}
