"""A roll-out as rows of words and lines for the car file."""

from __future__ import annotations

from unspool.render.words.rows import Row
from unspool.render.words.units import quantity
from unspool.study.rollout import RolledPush, RollOut
from unspool.study.rollout.texts import between

PUSH_HEAD = ("push", "length", "turns", "circumference", "90 % between", "and")


def push_rows(out: RollOut) -> list[Row]:
    """The columns of PUSH_HEAD."""
    return [_push_row(push, out) for push in out.pushes]


def _push_row(rolled: RolledPush, out: RollOut) -> Row:
    found = rolled.circumference_m
    ends = (quantity(1e3 * end, "mm", 1) for end in (found.value, found.low, found.high))
    turns = quantity(rolled.travel.slots / out.edges_per_turn, "", 2)
    return rolled.push.name, quantity(rolled.push.length_m, "m", 3), turns, *ends


def car_file_lines(out: RollOut) -> list[str]:
    """What to write into the car file, as TOML; a sentence why not where nothing is to be."""
    if out.proposed_m is None:
        return ["nothing to write into the car file until this is cleared up"]
    lines = ["in the car file:", ""]
    if out.proposed_edges != out.edges_per_turn:
        lines += ["[encoder]", f"pulses_per_turn = {out.proposed_edges}", ""]
    value = f"rolling_circumference_mm = {1e3 * out.proposed_m.value:.1f}"
    return [
        *lines,
        f"[[wheels]]  # the one with name = {toml_text(out.wheel)}",
        f"{value}  # roll-out: {between(out.proposed_m)}",
    ]


def toml_text(text: str) -> str:
    """A TOML basic string; names hold no control characters."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
