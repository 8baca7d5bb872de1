"""A plan as a page of text: what to wind, what it should do, how much it matters."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.table import Table
from rich.text import Text

from unspool.render.text.findings import finding_line
from unspool.render.words.losses import learnt_words
from unspool.render.words.plan import (
    best_words,
    binding_words,
    change_name,
    distance_words,
    learn_words,
    part_name,
    stage_words,
)
from unspool.render.words.safety import NEAR_THE_CAR
from unspool.render.words.units import UNKNOWN, quantity, signed
from unspool.safe_console import SafeConsole
from unspool.study.plan import Plan
from unspool.study.plan.goal import Aim
from unspool.study.plan.limits import LIMIT_NAMES
from unspool.study.plan.types import OnStage

MOST_CHANGES = 8  # the rest does little


@contextmanager
def watching() -> Iterator[OnStage]:
    """Shows what is under way on standard error, if that is a terminal."""
    with SafeConsole(stderr=True).status("planning") as status:
        yield lambda stage, step, steps: status.update(stage_words(stage, step, steps))


def show_plan(screen: Console, plan: Plan) -> None:
    """Prints the plan."""
    screen.print(Text(f"{plan.car.name} on {plan.track.name}, {_aim(plan)}", style="bold"))
    for part in plan.parts:
        screen.print(Text(f"with {part_name(part)}"))
    if plan.learnt_from:
        screen.print(Text(learnt_words(plan.learnt_from)))
    screen.print(_winding(plan))
    screen.print()
    screen.print(_stop(plan))
    screen.print(_against_own(plan))
    screen.print(Text(best_words(plan)))
    screen.print(binding_words(plan))
    for table in (_margins(plan), _miscounts(plan), _changes(plan)):
        screen.print()
        screen.print(table)
    screen.print()
    screen.print(Text(_nearly(plan)))
    if plan.most_informative is not None:
        screen.print(Text(learn_words(plan, plan.most_informative)))
    for finding in plan.findings:
        screen.print(finding_line(finding))
    screen.print(NEAR_THE_CAR)


def _aim(plan: Plan) -> str:
    mark = quantity(plan.goal.mark_m, "m")
    return {
        Aim.FARTHEST: f"to go farthest ({distance_words(plan.goal)})",
        Aim.FASTEST: f"to pass {mark} soonest",
        Aim.REACH: f"to stop at {mark}",
    }[plan.goal.aim]


def _winding(plan: Plan) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("wind, in this order", overflow="fold")
    table.add_column("turns", justify="right")
    table.add_column("string", justify="right")
    for tier in reversed(plan.car.drum):
        if tier.turns > 0.0:
            string = quantity(1e3 * tier.string_m, "mm", 0)
            table.add_row(Text(tier.name), f"{tier.turns:g}", string)
    return table


def _stop(plan: Plan) -> str:
    p = plan.prediction
    low, high = quantity(p.distance_low_m, "m"), quantity(p.distance_high_m, "m")
    stops = f"stops at {quantity(p.distance_m, 'm')} (90 % between {low} and {high})"
    if p.furthest_m > p.distance_m:
        stops += f", after its furthest point at {quantity(p.furthest_m, 'm')}"
    passes = f"passes {quantity(plan.goal.mark_m, 'm')} after {quantity(plan.mark_s, 's')}, "
    return (passes if plan.goal.aim is Aim.FASTEST else "") + stops


def _against_own(plan: Plan) -> str:
    if plan.gain is None:
        return "as its file winds it, the car does not do it at all"
    gained = signed(plan.gain_m, "m")
    if plan.goal.aim is Aim.FASTEST:
        how = "sooner" if plan.gain >= 0.0 else "later"
        gained = f"{quantity(abs(plan.gain), 's')} {how}, {gained}"
    return f"against the winding in the car file: {gained}"


def _margins(plan: Plan) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("margin", overflow="fold")
    table.add_column("planned", justify="right")
    table.add_column("at least", justify="right")
    for name, words in LIMIT_NAMES.items():
        least = quantity(getattr(plan.limits, name), "")
        table.add_row(words, quantity(getattr(plan.prediction, name), ""), least)
    return table


def _miscounts(plan: Plan) -> Table:
    """One row a tier: by how much its turns are off, and what that does to the goal."""
    offs = sorted({one.turns for one in plan.miscounts})
    table = Table(box=None, pad_edge=False)
    sooner = ", sooner by" if plan.goal.aim is Aim.FASTEST else ""
    table.add_column(f"a tier off by turns{sooner}", overflow="fold")
    for off in offs:
        table.add_column(signed(off, ""), justify="right")
    for tier in plan.car.drum:
        off_by = {one.turns: one for one in plan.miscounts if one.tier == tier.name}
        if off_by:
            cells = [
                _difference(off_by[off].change, plan.goal.unit) if off in off_by else ""
                for off in offs
            ]
            table.add_row(Text(tier.name), *cells)
    return table


def _changes(plan: Plan) -> Table:
    table = Table(box=None, pad_edge=False)
    what = {Aim.REACH: "moves the stop by", Aim.FASTEST: "would be sooner by"}
    table.add_column(what.get(plan.goal.aim, "would gain"), overflow="fold")
    table.add_column("10 % less", justify="right")
    table.add_column("10 % more", justify="right")
    for one in plan.changes[:MOST_CHANGES]:
        less, more = (_difference(x, plan.goal.unit) for x in (one.less, one.more))
        table.add_row(Text(change_name(one)), less, more)
    return table


def _difference(value: float | None, unit: str) -> str:
    return UNKNOWN if value is None else signed(value, unit)


def _nearly(plan: Plan) -> str:
    ranges = ", ".join(f"{r.low:.1f} to {r.high:.1f} on {r.tier}" for r in plan.ranges)
    return f"Within 1 % of it, with the other tiers to match, are {ranges}."
