"""A roll-out in sentences, as rows of words, and as lines for the car file."""

from __future__ import annotations

from unspool.render.words.rows import Row
from unspool.render.words.units import NBSP, quantity
from unspool.render.words.values import Text, Values, bare, counted, in_mm, maybe, number, times
from unspool.study.rollout import IntervalEstimate, RolledPush, RollOut, RollOutCode

PUSH_HEAD = ("push", "length", "turns", "circumference", "90 % between", "and")


def push_rows(out: RollOut) -> list[Row]:
    """The columns of PUSH_HEAD."""
    return [_push_row(push, out) for push in out.pushes]


def _push_row(rolled: RolledPush, out: RollOut) -> Row:
    found = rolled.circumference_m
    ends = (millimetres(end) for end in (found.value, found.low, found.high))
    turns = quantity(rolled.travel.slots / out.edges_per_turn, "", 2)
    return rolled.push.name, quantity(rolled.push.length_m, "m", 3), turns, *ends


def millimetres(value_m: float) -> str:
    return quantity(1e3 * value_m, "mm", 1)


def between(of: IntervalEstimate) -> str:
    return f"90 % between {millimetres(of.low)} and {millimetres(of.high)}"


def car_file_lines(out: RollOut) -> list[str]:
    """What to write into the car file, as TOML; a sentence if there is nothing to write."""
    if out.proposed_m is None:
        return ["Write nothing into the car file until this is clear."]
    lines = ["in the car file:", ""]
    if out.proposed_edges != out.edges_per_turn:
        lines += ["[encoder]", f"pulses_per_turn = {out.proposed_edges}", ""]
    value = f"rolling_circumference_mm = {1e3 * out.proposed_m.value:.1f}"
    return [
        *lines,
        f"[[wheels]]  # the one with name = {toml_text(out.wheel)}",
        f"{value}  # roll-out: {between(out.proposed_m)}".replace(NBSP, " "),
    ]


def toml_text(text: str) -> str:
    """A TOML basic string; names hold no control characters."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _agrees(v: Values) -> str:
    return (
        f"Tape and encoder agree with the car file: its {in_mm(v, 'nominal_m', 1)} lie within the "
        "interval."
    )


def _wheel_differs(v: Values) -> str:
    larger = number(v, "circumference_m") > number(v, "nominal_m")
    why = (
        "the diameter was measured across the tread, or the tyre has grown"
        if larger
        else "the car squashes the tyre, the tyre is worn, or the diameter was measured across the "
        "tread"
    )
    return (
        f"The wheel rolls {_differs(v)} than the car file's {in_mm(v, 'nominal_m', 1)}, as wheels "
        f"do. Perhaps {why}."
    )


def _miscounted(v: Values) -> str:
    believed = f"{number(v, 'believed_edges'):g} edges a turn"
    sentences = (
        f"The disc is miscounted: {believed} fit.",
        f"With the car file's {number(v, 'edges'):g} edges the wheel would be "
        f"{in_mm(v, 'circumference_m', 1)} round, not {in_mm(v, 'nominal_m', 1)}.",
        _pattern(v),
        _why_miscounted(number(v, "believed_edges"), number(v, "edges")),
    )
    return " ".join(filter(None, sentences))


def _pattern(v: Values) -> str:
    if v["pattern_edges"] is None:
        return ""
    every = f"every {number(v, 'pattern_edges'):g} edges"
    if v["pattern_agrees"]:
        return f"The slots' own pattern repeats {every}."
    return f"But the slots' own pattern seems to repeat {every}."


def _why_miscounted(believed: float, edges: float) -> str:
    if believed == 2 * edges:
        return "A slot has two edges, its begin and its end: pulses_per_turn counts both."
    if 2 * believed == edges:
        return "Count the slots again: pulses_per_turn is twice their number."
    if believed < edges:
        return "Count the slots again. Perhaps one is closed or dirty, and missed in each turn."
    return "Count the slots again. Perhaps a crack or a scratch in the disc looks like a slot."


def _unclear(v: Values) -> str:
    rival = maybe(v, "rival_edges")
    or_rival = f", or {rival:g} edges a turn" if rival is not None else ", or another count"
    return (
        f"The wheel seems to roll {_differs(v)} than the car file's {in_mm(v, 'nominal_m', 1)}. "
        f"That may be the wheel{or_rival}. Count the slots of the disc, or run "
        "`unspool check --turns 10`."
    )


def _unexplained(v: Values) -> str:
    pattern = "" if v["pattern_agrees"] else _pattern(v)
    sentences = (
        f"The tape gives {in_mm(v, 'circumference_m', 1)}, which is {_differs(v)} than the car "
        f"file's {in_mm(v, 'nominal_m', 1)}.",
        "No wheel and no count nearby explains that: "
        f"{bare(v, 'fitting_edges')} edges a turn would.",
        pattern,
        "Check --length, in metres from mark to mark, and the wheel's diameter.",
    )
    return " ".join(filter(None, sentences))


def _differs(v: Values) -> str:
    """`1.2 % less`: the circumference found beside the car file's."""
    percent = 100.0 * (number(v, "circumference_m") / number(v, "nominal_m") - 1.0)
    return f"{quantity(abs(percent), '%', 1)} {'more' if percent > 0.0 else 'less'}"


def _pushes_disagree(v: Values) -> str:
    return (
        f"The pushes disagree by more than their uncertainty: from {in_mm(v, 'smallest_m', 1)} to "
        f"{in_mm(v, 'largest_m', 1)}. The result is too large if the wheel slid or edges were "
        "missed. It is too small after chatter, a bent path, or a mark that was not reached. Push "
        "again, gently."
    )


def _odd_push(v: Values) -> str:
    larger = number(v, "circumference_m") > number(v, "others_m")
    why = (
        "the wheel slid on the floor, or edges were missed"
        if larger
        else "there was chatter, the path was bent, or the end mark was not reached"
    )
    return (
        f"{v['run']} is left out: its {in_mm(v, 'circumference_m', 1)} disagree with the others' "
        f"{in_mm(v, 'others_m', 1)}. Perhaps {why}."
    )


def _slot_lost_each_turn(v: Values) -> str:
    return (
        f"{v['run']}: once in every {number(v, 'closed_edges'):g} edges, a gap is as long as "
        "three. So one slot is closed or dirty. Its edges are counted as if it were open. Clean it."
    )


def _backwards(v: Values) -> str:
    return (
        f"{v['run']}: the wheel turned backwards. If you pushed forwards, the sensors are swapped: "
        "see `unspool check`."
    )


def _rolled_to_mark(v: Values) -> str:
    when = "before" if v["before"] else "after"
    return (
        f"{v['run']}: {counted(number(v, 'edges'), 'edge')} {when} the push ran against it. They "
        "are not counted, because the car was probably rolled to its place."
    )


def _settled(v: Values) -> str:
    return (
        f"{v['run']}: at the end the car rolled back to the mark by "
        f"{counted(number(v, 'edges'), 'edge')}. This is counted."
    )


def _rested(v: Values) -> str:
    more = maybe(v, "more_rests")
    again = f", and {times(more)} more for less" if more else ""
    then = counted(number(v, "edges_after"), "edge")
    rest = (
        f"{v['run']}: the wheel rested for {quantity(number(v, 'rest_s'), 's', 1)} after "
        f"{counted(number(v, 'edges_before'), 'edge')}{again}."
    )
    if v["has_direction"]:
        return (
            f"{rest} Then it turned on by {then}; all is counted. If you were still placing the "
            "car, push again."
        )
    return (
        f"{rest} Then came {then} more. No edge has a direction here, so a roll back looks like a "
        "roll on; all are counted as on. If the car rolled back, push again without a rest."
    )


def _wide(v: Values) -> str:
    return "The interval is wider than 1 % either way. Push farther, or more often."


# `missing_edges` and `chatter` have the same sentences as in a reading.
TEXTS: dict[str, Text] = {
    RollOutCode.AGREES: _agrees,
    RollOutCode.WHEEL_DIFFERS: _wheel_differs,
    RollOutCode.MISCOUNTED: _miscounted,
    RollOutCode.UNCLEAR: _unclear,
    RollOutCode.UNEXPLAINED: _unexplained,
    RollOutCode.PUSHES_DISAGREE: _pushes_disagree,
    RollOutCode.ODD_PUSH: _odd_push,
    RollOutCode.SLOT_LOST_EACH_TURN: _slot_lost_each_turn,
    RollOutCode.BACKWARDS: _backwards,
    RollOutCode.ROLLED_TO_MARK: _rolled_to_mark,
    RollOutCode.SETTLED: _settled,
    RollOutCode.RESTED: _rested,
    RollOutCode.WIDE: _wide,
}
