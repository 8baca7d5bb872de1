"""Next winding: how exactly it must be wound, and what one change would gain."""

from __future__ import annotations

import re

from dash import html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, at_hand
from unspool.app.pages.sheet_choice import sheet_choice
from unspool.app.pages.sizes_form import sizes_form
from unspool.app.pages.study_frame import StudyPage, nothing_yet
from unspool.app.pages.trial_form import trial_form
from unspool.app.pages.winding_form import PATH, plan_form, plan_request
from unspool.app.parts import Cells, Tile, answer, fold, picture, table, tiles
from unspool.app.query import Query, address, language_of
from unspool.app.studies import OwnedSizes, PlanRequest, Studies
from unspool.errors import UnspoolError
from unspool.finding import Finding, Severity
from unspool.language import LANGUAGES
from unspool.render.figures.tornado import tornado_figure
from unspool.render.words.findings import sentence
from unspool.render.words.plan import (
    LIMIT_NAMES,
    TERM_NAMES,
    attempts_words,
    best_words,
    binding_limits,
    order_words,
    part_name,
    winding_words,
)
from unspool.render.words.reach import holds_words, range_words
from unspool.render.words.safety import NEAR_THE_CAR, RESPONSIBLE
from unspool.render.words.units import UNKNOWN, between, quantity, signed
from unspool.study.plan import Aim, Plan
from unspool.study.plan.limits import NAMES

TITLE, PLACE = "Next winding", "next-winding"
# What a gain above 0 means.
GAINS = {
    Aim.FARTHEST: "goes farther",
    Aim.FASTEST: "passes the mark sooner",
    Aim.REACH: "stops nearer to the mark",
}
CAUTION = f"{NEAR_THE_CAR} {RESPONSIBLE}"


def next_winding_page(query: Query, studies: Studies) -> Page:
    newest = at_hand(studies.runs.choices(SHOWN))
    if not newest:
        return nothing_yet(TITLE, PLACE)
    asked = query if _asks(query) else _of_the_car_at_hand(newest, query)
    study = StudyPage(
        TITLE,
        PLACE,
        lambda opened: _choices(studies, asked, opened=opened),
        studies.runs.store,
        _error_text,
    )
    return study.of(
        lambda: studies.plan(plan_request(asked)),
        lambda plan: [*_result(plan, asked), _sizes(studies, asked)],
    )


def _sizes(studies: Studies, query: Query) -> Component:
    return fold("What could be built: try ranges of sizes", sizes_form(studies, query, []))


def _choices(studies: Studies, query: Query, *, opened: bool) -> Component:
    return fold("Another goal, limit, car or part", plan_form(studies, query), opened=opened)


def _asks(query: Query) -> bool:
    """False if it names nothing but the language of the card."""
    return any(name != "language" for name, _value in query.pairs)


def _of_the_car_at_hand(newest: tuple[str, ...], query: Query) -> Query:
    """The farthest run of the car that ran last, with the losses of its newest attempts."""
    learn = tuple(("learn", run) for run in newest)
    return Query((("goal", Aim.FARTHEST), ("run", newest[0]), *learn, *query.pairs))


def _error_text(error: UnspoolError) -> str:
    """The page's own names in place of the command line's options."""
    text = str(error).replace("--distance", "mark").replace("--turn-step", "turns in steps of")
    text = text.replace("--own-wheel-mm", "driven wheels that you own")
    return re.sub(r"--([a-z]+(?:-[a-z]+)*)", lambda found: found[1].replace("-", " "), text)


def _result(plan: Plan, query: Query) -> list[Component]:
    return [
        _answer(plan),
        _reach(plan),
        _winding(plan),
        html.Ul(
            [html.Li(text, className="finding") for text in _sentences(plan, plan_request(query))],
            className="findings",
        ),
        *[_finding(finding) for finding in plan.findings],
        html.P(CAUTION, className="finding warning"),
        _downloads(query),
        trial_form(plan, query),
        html.Section(
            [
                html.H2("What one change would do"),
                picture(
                    tornado_figure(plan),
                    "Each bar changes one property of the car by a tenth and winds it at its best.",
                    "changes",
                    (plan.car.name, "plan"),
                ),
            ],
            className="pictures one",
        ),
        fold("Numbers", _margins(plan), _miscounts(plan)),
    ]


def _answer(plan: Plan) -> Component:
    return answer(f"Wind {order_words(plan.car.drum)}.", *_expected(plan))


def _reach(plan: Plan) -> Component:
    """How far the best goes, what holds it back, and how flat it is."""
    p = plan.prediction
    ends = between(p.distance_low_m, p.distance_high_m, "m")
    flat = [
        Tile(f"turns on {one.tier}", range_words(one), note="nearly as good, the others to match")
        for one in reversed(plan.ranges)
    ]
    figures = [
        Tile("should stop at", quantity(p.distance_m, "m"), note=f"9 of 10 attempts: {ends}"),
        Tile("held back by", holds_words(plan), note=" and ".join(binding_limits(plan))),
        *flat,
    ]
    return tiles(figures, "The reach of the best")


def _finding(finding: Finding) -> Component:
    if finding.severity is Severity.WARNING:
        return html.P(["Warning: ", sentence(finding)], className="finding warning")
    return html.P(sentence(finding), className="finding")


def _winding(plan: Plan) -> Component:
    rows = [
        (tier.name, quantity(tier.turns, "turns"), quantity(1e3 * tier.string_m, "mm", 0))
        for tier in reversed(plan.car.drum)
        if tier.turns > 0.0
    ]
    caption = f"Wind {plan.car.name} in this order, for {plan.track.name}"
    return table(caption, ("tier", "turns", "string"), rows)


def _sentences(plan: Plan, request: PlanRequest) -> list[str]:
    sentences = [
        *_parts(plan, request),
        _gain(plan),
        best_words(plan),
    ]
    if plan.most_informative is not None:
        turns = winding_words(plan.car.drum, plan.most_informative.turns)
        term = TERM_NAMES[plan.most_informative.term]
        sentences.append(f"To learn most about the {term}, wind {turns} instead.")
    return sentences


def _parts(plan: Plan, request: PlanRequest) -> list[str]:
    if request.owned != OwnedSizes() and not plan.parts:
        return ["None of the other parts that you own gains enough to be worth fitting."]
    return [f"Fit the {part_name(part)} instead of the present one." for part in plan.parts]


def _expected(plan: Plan) -> list[str]:
    p, mark = plan.prediction, quantity(plan.goal.mark_m, "m")
    low, high = quantity(p.distance_low_m, "m"), quantity(p.distance_high_m, "m")
    sentences = [f"It should stop at {quantity(p.distance_m, 'm')} (90 % from {low} to {high})."]
    if plan.learnt_from:
        learnt = f"The losses come from {attempts_words(plan.learnt_from)}."
        sentences.append(f"{learnt} The interval is that of one more attempt.")
    if plan.mark_s is not None:
        sentences.append(f"It should pass {mark} after {quantity(plan.mark_s, 's')}.")
    return sentences


def _gain(plan: Plan) -> str:
    if plan.gain is None:
        return "With the winding in its file, the car does not reach the goal at all."
    gain = f"it {GAINS[plan.goal.aim]} by {signed(plan.gain, plan.goal.unit).removeprefix('+')}"
    return f"Compared with the winding in the car's file, {gain}."


def _margins(plan: Plan) -> Component:
    rows: list[Cells] = [
        (
            LIMIT_NAMES[name],
            quantity(getattr(plan.prediction, name), ""),
            quantity(getattr(plan.limits, name), ""),
        )
        for name in NAMES
    ]
    return table("Margins", ("margin", "planned", "at least"), rows)


def _miscounts(plan: Plan) -> Component:
    """The effect of more or fewer turns on a tier."""
    rows = [
        (
            f"{one.tier} {signed(one.turns, 'turns')}",
            UNKNOWN if one.change is None else signed(one.change, plan.goal.unit),
            quantity(one.distance_m, "m"),
            "yes" if one.keeps else "no",
        )
        for one in plan.miscounts
    ]
    head = ("if wound", f"it {GAINS[plan.goal.aim]} by", "it stops at", "limits kept")
    return table("How much a miscounted turn matters", head, rows)


def _downloads(query: Query) -> Component:
    fields: dict[str, list[str]] = {}
    for key, value in query.pairs:
        fields.setdefault(key, []).append(value)
    language = language_of(query)
    return html.P(
        [
            sheet_choice("language", "Language of the card", list(LANGUAGES.items()), language),
            html.A("Winding card (PDF)", href=address(f"{PATH}/card.pdf", fields), download=""),
            html.A("Winding card (page)", href=address(f"{PATH}/card.html", fields)),
        ],
        className="downloads",
    )
