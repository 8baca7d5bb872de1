"""Plan: which winding next, how much it matters, and what one change would gain."""

from __future__ import annotations

import re

from dash import html
from dash.development.base_component import Component

from unspool.app.pages.components import Cells, empty, picture, table
from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, form, number, one_of, run_boxes, run_choice, text
from unspool.app.pages.study_frame import Study
from unspool.app.query import Asked, address
from unspool.app.studies import Box, PlanWish, Studies
from unspool.errors import InputError, UnspoolError
from unspool.render import tornado_figure
from unspool.render.words.plan import TERM_WORDS, binding_words, winding_words
from unspool.render.words.units import UNKNOWN, quantity, signed
from unspool.study.plan import Aim, Goal, Limits, Plan
from unspool.study.plan.limits import NAMES, WORDS

TITLE, PLACE, PATH = "Plan the next winding", "plan", "/plan"
AIMS = (
    (Aim.FARTHEST, "go farthest"),
    (Aim.FASTEST, "pass the mark soonest"),
    (Aim.REACH, "stop nearest to the mark"),
)
# What a gain above 0 means.
GAINS = {
    Aim.FARTHEST: "stops farther",
    Aim.FASTEST: "passes the mark sooner",
    Aim.REACH: "stops nearer to the mark",
}
# Fields of what the builder owns; a tier's own name follows the last.
WEIGHTS, WHEELS, TIER = "weights_g", "wheels_mm", "tier_mm:"
CAUTION = (
    "Keep feet and hands from under the weight, eyes protected near the wound string, and the "
    "run-out clear. Follow local rules and whoever is responsible for the place."
)


def plan_page(asked: Asked, studies: Studies) -> Page:
    if not studies.shelf.choices(1):
        return Page(TITLE, empty(TITLE, "A plan starts from a run's car: record one first."), PLACE)
    study = Study(TITLE, PLACE, lambda: _form(studies, asked), _said)
    if not asked.one_of("goal", [aim for aim, _ in AIMS]):
        return study.plain()
    return study.of(lambda: studies.plan(wish_of(asked)), lambda plan: _result(plan, asked))


def wish_of(asked: Asked) -> PlanWish:
    """What the address asks to plan. Raises InputError when that does not make a plan."""
    runs = asked.ids()
    if len(runs) != 1:
        raise InputError("Choose one run: the plan is for its car and its track.")
    aim = Aim(asked.one_of("goal", list(Aim)) or Aim.FARTHEST)
    mark = None if aim is Aim.FARTHEST else asked.number("mark")
    if aim is not Aim.FARTHEST and not mark:
        raise InputError("Say where the mark is, in m from the launch.")
    return PlanWish(runs[0], asked.ids("learn"), Goal(aim, mark), _limits(asked), _box(asked))


def _box(asked: Asked) -> Box:
    names = dict.fromkeys(key for key, _ in asked.pairs if key.startswith(TIER))
    tiers = ((name.removeprefix(TIER), _sizes(asked, name, "mm")) for name in names)
    return Box(
        _sizes(asked, WEIGHTS, "g"),
        _sizes(asked, WHEELS, "mm"),
        tuple((name, sizes) for name, sizes in tiers if sizes),
    )


def _sizes(asked: Asked, name: str, unit: str) -> tuple[float, ...]:
    """ "500, 640.5" as numbers. Raises InputError for anything else."""
    typed = asked.text(name)
    words = re.split(r"[,;\s]+", typed.strip(",; ")) if typed else []
    if not all(re.fullmatch(r"[0-9]{1,6}(\.[0-9]{0,6})?", word) for word in words):
        raise InputError(
            f'What you own: found "{typed}", expected sizes in {unit} with commas between them, '
            "such as 500, 640.5"
        )
    return tuple(float(word) for word in words)


def _said(error: UnspoolError) -> str:
    """The page's own names in place of the command line's options."""
    text = str(error).replace("--distance", "mark")
    return re.sub(r"--([a-z]+(?:-[a-z]+)*)", lambda found: found[1].replace("-", " "), text)


def _limits(asked: Asked) -> Limits:
    given = {name: asked.number(name) for name in NAMES}
    return Limits(**{name: value for name, value in given.items() if value is not None})


def _form(studies: Studies, asked: Asked) -> Component:
    entries = studies.shelf.choices(SHOWN)
    runs = asked.ids() or (entries[0].row.id,)
    usual = Limits()
    margins = [
        number(name, f"{WORDS[name][0]}, at least", asked.number(name) or getattr(usual, name))
        for name in NAMES
    ]
    return form(
        PATH,
        [
            html.H2("What for"),
            one_of("goal", "Goal", AIMS, asked.one_of("goal", list(Aim)) or Aim.FARTHEST),
            number("mark", "Mark, m from the launch", asked.number("mark")),
            html.Details([html.Summary("Limits"), *margins], className="limits"),
            run_choice(entries, runs[0], "For the car and track of one run"),
            _owned(studies, asked, runs[0]),
            html.Details(
                [
                    html.Summary("Learn the losses from runs, instead of from the car's file"),
                    run_boxes(entries, asked.ids("learn"), "Runs of that car", name="learn"),
                ],
                open=bool(asked.ids("learn")),
            ),
        ],
        "Plan",
    )


def _owned(studies: Studies, asked: Asked, run: str) -> Component:
    """Fields for other parts of the chosen run's car."""
    try:
        drum = studies.shelf.subject(studies.shelf.stored(run)).car.drum
    except UnspoolError:
        drum = ()  # the page says why elsewhere
    fields = {
        WEIGHTS: "Weights, g",
        WHEELS: "Driven wheels, diameters in mm",
        **{f"{TIER}{tier.name}": f"Tier {tier.name}, diameters in mm" for tier in drum},
    }
    return html.Details(
        [
            html.Summary("Pick among other parts that I own"),
            html.P("Sizes with commas between them, such as 500, 640.5.", className="quiet"),
            *(text(name, label, asked.text(name)) for name, label in fields.items()),
        ],
        open=any(asked.text(name) for name in fields),
    )


def _result(plan: Plan, asked: Asked) -> list[Component]:
    return [
        _winding(plan),
        html.Ul(
            [html.Li(said, className="finding") for said in _words(plan, wish_of(asked))],
            className="findings",
        ),
        *[html.P(["Warning: ", text], className="finding warning") for text in plan.cautions],
        html.P(CAUTION, className="finding warning"),
        _downloads(asked),
        html.Section(
            [
                html.H2("What one change would do"),
                picture(
                    tornado_figure(plan),
                    "Each bar is one thing of the car a tenth less or more, wound anew for it.",
                    "changes",
                    (plan.car.name, "plan"),
                ),
            ],
            className="pictures one",
        ),
        html.Section([html.H2("Numbers"), _margins(plan), _slips(plan)]),
    ]


def _winding(plan: Plan) -> Component:
    rows = [
        (tier.name, quantity(tier.turns, "turns"), quantity(1e3 * tier.string_m, "mm", 0))
        for tier in reversed(plan.car.drum)
        if tier.turns > 0.0
    ]
    caption = f"Wind {plan.car.name} in this order, for {plan.track.name}"
    return table(caption, ("tier", "turns", "string"), rows)


def _words(plan: Plan, wish: PlanWish) -> list[str]:
    p, mark = plan.prediction, quantity(plan.goal.mark_m, "m")
    low, high = quantity(p.distance_low_m, "m"), quantity(p.distance_high_m, "m")
    said = [f"Fit the {part} instead of what the car has." for part in plan.parts]
    if wish.box != Box() and not plan.parts:
        said.append("None of the other parts that you own gains enough to be worth fitting.")
    said.append(f"It should stop at {quantity(p.distance_m, 'm')} (90 % between {low} and {high}).")
    if plan.learnt:
        said.append(
            f"The losses were learned from {', '.join(plan.learnt)}, not taken from the car's file;"
            " the interval is that of one more run."
        )
    if plan.mark_s is not None:
        said.append(f"It should pass {mark} after {quantity(plan.mark_s, 's')}.")
    said.append(_against_own(plan))
    said.append(binding_words(plan))
    told = ", ".join(f"{r.low:.1f} to {r.high:.1f} on {r.tier}" for r in plan.ranges)
    said.append(f"Within 1 % of it, with the other tiers to match, are {told}.")
    if plan.lesson is not None:
        turns = winding_words(plan.car.drum, plan.lesson.turns)
        said.append(f"To learn more, wind {turns}: it tells the {TERM_WORDS[plan.lesson.term]}.")
    return said


def _against_own(plan: Plan) -> str:
    if plan.gain is None:
        return "As its file winds it, the car does not do it at all."
    gained = f"it {GAINS[plan.goal.aim]} by {signed(plan.gain, plan.goal.unit)}"
    return f"Against the winding in the car's file, {gained}."


def _margins(plan: Plan) -> Component:
    rows: list[Cells] = [
        (
            WORDS[name][0],
            quantity(getattr(plan.prediction, name), ""),
            quantity(getattr(plan.limits, name), ""),
        )
        for name in NAMES
    ]
    return table("Margins", ("margin", "planned", "at least"), rows)


def _slips(plan: Plan) -> Component:
    """What a tier that is wound otherwise does to the goal."""
    rows = [
        (
            f"{slip.tier} {signed(slip.turns, 'turns')}",
            UNKNOWN if slip.change is None else signed(slip.change, plan.goal.unit),
            quantity(slip.distance_m, "m"),
            "yes" if slip.keeps else "no",
        )
        for slip in plan.slips
    ]
    head = ("if wound", f"it {GAINS[plan.goal.aim]} by", "it stops at", "limits kept")
    return table("How much a miscounted turn matters", head, rows)


def _downloads(asked: Asked) -> Component:
    fields: dict[str, list[str]] = {}
    for key, value in asked.pairs:
        fields.setdefault(key, []).append(value)
    return html.P(
        [
            html.A("Winding card (PDF)", href=address(f"{PATH}/card.pdf", fields), download=""),
            html.A("Winding card (page)", href=address(f"{PATH}/card.html", fields)),
        ],
        className="downloads",
    )
