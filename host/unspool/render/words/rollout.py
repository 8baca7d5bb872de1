"""A roll-out in sentences, as rows of words, and as lines for the car file."""

from __future__ import annotations

from unspool.language import _, localised, many
from unspool.render.words.rows import Row
from unspool.render.words.units import NBSP, quantity
from unspool.render.words.values import Text, Values, bare, in_mm, maybe, number
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
    return _("90 % between {low} and {high}", low=millimetres(of.low), high=millimetres(of.high))


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
    return _(
        "Tape and encoder agree with the car file: its {nominal} lie within the interval.",
        nominal=in_mm(v, "nominal_m", 1),
    )


def _wheel_differs(v: Values) -> str:
    if _is_larger(v):
        return _(
            "The wheel rolls {share} more than the car file's {nominal}, as wheels do. Perhaps the "
            "diameter was measured across the tread, or the tyre has grown.",
            **_differing(v),
        )
    return _(
        "The wheel rolls {share} less than the car file's {nominal}, as wheels do. Perhaps the car "
        "squashes the tyre, the tyre is worn, or the diameter was measured across the tread.",
        **_differing(v),
    )


def _miscounted(v: Values) -> str:
    sentences = (
        _("The disc is miscounted: {edges} edges a turn fit.", edges=_count(v, "believed_edges")),
        _(
            "With the car file's {edges} edges the wheel would be {found} round, not {nominal}.",
            edges=_count(v, "edges"),
            found=in_mm(v, "circumference_m", 1),
            nominal=in_mm(v, "nominal_m", 1),
        ),
        _pattern(v),
        _why_miscounted(number(v, "believed_edges"), number(v, "edges")),
    )
    return " ".join(filter(None, sentences))


def _pattern(v: Values) -> str:
    if v["pattern_edges"] is None:
        return ""
    edges = _count(v, "pattern_edges")
    if v["pattern_agrees"]:
        return _("The slots' own pattern repeats every {edges} edges.", edges=edges)
    return _("But the slots' own pattern seems to repeat every {edges} edges.", edges=edges)


def _why_miscounted(believed: float, edges: float) -> str:
    if believed == 2 * edges:
        return _("A slot has two edges, its begin and its end: pulses_per_turn counts both.")
    if 2 * believed == edges:
        return _("Count the slots again: pulses_per_turn is twice their number.")
    if believed < edges:
        return _("Count the slots again. Perhaps one is closed or dirty, and missed in each turn.")
    return _("Count the slots again. Perhaps a crack or a scratch in the disc looks like a slot.")


def _unclear(v: Values) -> str:
    if _is_larger(v):
        seems = _(
            "The wheel seems to roll {share} more than the car file's {nominal}.", **_differing(v)
        )
    else:
        seems = _(
            "The wheel seems to roll {share} less than the car file's {nominal}.", **_differing(v)
        )
    if maybe(v, "rival_edges") is None:
        why = _("That may be the wheel, or another count.")
    else:
        rival = _count(v, "rival_edges")
        why = _("That may be the wheel, or {edges} edges a turn.", edges=rival)
    count = _("Count the slots of the disc, or run `unspool check --turns 10`.")
    return " ".join((seems, why, count))


def _unexplained(v: Values) -> str:
    pattern = "" if v["pattern_agrees"] else _pattern(v)
    said = {"found": in_mm(v, "circumference_m", 1), **_differing(v)}
    if _is_larger(v):
        gives = _(
            "The tape gives {found}, which is {share} more than the car file's {nominal}.", **said
        )
    else:
        gives = _(
            "The tape gives {found}, which is {share} less than the car file's {nominal}.", **said
        )
    sentences = (
        gives,
        _(
            "No wheel and no count nearby explains that: {edges} edges a turn would.",
            edges=bare(v, "fitting_edges"),
        ),
        pattern,
        _("Check the length, in metres from mark to mark, and the wheel's diameter."),
    )
    return " ".join(filter(None, sentences))


def _is_larger(v: Values) -> bool:
    """Whether the circumference found is above the car file's."""
    return number(v, "circumference_m") > number(v, "nominal_m")


def _differing(v: Values) -> dict[str, str]:
    """The car file's circumference, and by which share the one found differs from it."""
    percent = 100.0 * (number(v, "circumference_m") / number(v, "nominal_m") - 1.0)
    return {"share": quantity(abs(percent), "%", 1), "nominal": in_mm(v, "nominal_m", 1)}


def _count(v: Values, name: str) -> str:
    return localised(f"{number(v, name):g}")


def _pushes_disagree(v: Values) -> str:
    return _(
        "The pushes disagree by more than their uncertainty: from {low} to {high}. The result is "
        "too large if the wheel slid or edges were missed. It is too small after chatter, a bent "
        "path, or a mark that was not reached. Push again, gently.",
        low=in_mm(v, "smallest_m", 1),
        high=in_mm(v, "largest_m", 1),
    )


def _odd_push(v: Values) -> str:
    said = {
        "run": v["run"],
        "found": in_mm(v, "circumference_m", 1),
        "others": in_mm(v, "others_m", 1),
    }
    if number(v, "circumference_m") > number(v, "others_m"):
        return _(
            "{run} is left out: its {found} disagree with the others' {others}. Perhaps the wheel "
            "slid on the floor, or edges were missed.",
            **said,
        )
    return _(
        "{run} is left out: its {found} disagree with the others' {others}. Perhaps there was "
        "chatter, the path was bent, or the end mark was not reached.",
        **said,
    )


def _slot_lost_each_turn(v: Values) -> str:
    return _(
        "{run}: once in every {edges} edges, a gap is as long as three. So one slot is closed or "
        "dirty. Its edges are counted as if it were open. Clean it.",
        run=v["run"],
        edges=_count(v, "closed_edges"),
    )


def _backwards(v: Values) -> str:
    return _(
        "{run}: the wheel turned backwards. If you pushed forwards, the sensors are swapped: see "
        "`unspool check`.",
        run=v["run"],
    )


def _rolled_to_mark(v: Values) -> str:
    said = {"run": v["run"], "edges": _edges(v, "edges")}
    if v["before"]:
        return _(
            "{run}: {edges} before the push ran against it. They are not counted, because the car "
            "was probably rolled to its place.",
            **said,
        )
    return _(
        "{run}: {edges} after the push ran against it. They are not counted, because the car was "
        "probably rolled to its place.",
        **said,
    )


def _settled(v: Values) -> str:
    return _(
        "{run}: at the end the car rolled back to the mark by {edges}. This is counted.",
        run=v["run"],
        edges=_edges(v, "edges"),
    )


def _edges(v: Values, name: str) -> str:
    return many("{count} edge", "{count} edges", number(v, name))


def _rested(v: Values) -> str:
    then = _edges(v, "edges_after")
    said = [
        _(
            "{run}: the wheel rested for {rest} after {edges}.",
            run=v["run"],
            rest=quantity(number(v, "rest_s"), "s", 1),
            edges=_edges(v, "edges_before"),
        )
    ]
    if more := maybe(v, "more_rests"):
        said.append(
            many("It rested once more, for less.", "It rested {count} times more, for less.", more)
        )
    if v["has_direction"]:
        turned = _(
            "Then it turned on by {edges}; all is counted. If you were still placing the car, push "
            "again.",
            edges=then,
        )
    else:
        turned = _(
            "Then came {edges} more. No edge has a direction here, so a roll back looks like a "
            "roll on; all are counted as on. If the car rolled back, push again without a rest.",
            edges=then,
        )
    return " ".join((*said, turned))


def _wide(_values: Values) -> str:
    return _("The interval is wider than 1 % either way. Push farther, or more often.")


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
