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
from unspool.language import LANGUAGES, _, later, translated
from unspool.render.figures.tornado import tornado_figure
from unspool.render.words.findings import sentence
from unspool.render.words.plan import (
    attempts_words,
    best_words,
    floor_name,
    learn_words,
    limits_words,
    order_words,
    part_name,
)
from unspool.render.words.reach import holds_words, range_words
from unspool.render.words.safety import caution
from unspool.render.words.units import UNKNOWN, between, quantity, signed
from unspool.study.plan import Aim, Plan
from unspool.study.plan.limits import LIMIT_NAMES, NAMES

TITLE, PLACE = later("Next winding"), "next-winding"
OPTIONS = {
    "--distance": later("mark"),
    "--counts": later("which distance counts"),
    "--turn-step": later("turns in steps of"),
    "--own-wheel-mm": later("driven wheels that you own"),
}
WOUND_HEAD = (later("tier"), later("turns"), later("string"))
MARGIN_HEAD = (later("margin"), later("planned"), later("at least"))
# What a gain above 0 means, over a column and in a sentence.
GAIN_HEADS = {
    Aim.FARTHEST: later("it goes farther by"),
    Aim.FASTEST: later("it passes the mark sooner by"),
    Aim.REACH: later("it stops nearer to the mark by"),
}
GAINS = {
    Aim.FARTHEST: later("Compared with the winding in the car's file, it goes farther by {gain}."),
    Aim.FASTEST: later(
        "Compared with the winding in the car's file, it passes the mark sooner by {gain}."
    ),
    Aim.REACH: later(
        "Compared with the winding in the car's file, it stops nearer to the mark by {gain}."
    ),
}


def next_winding_page(query: Query, studies: Studies) -> Page:
    newest = at_hand(studies.runs.choices(SHOWN))
    if not newest:
        return nothing_yet(_(TITLE), PLACE)
    asked = query if _asks(query) else _of_the_car_at_hand(newest, query)
    study = StudyPage(
        _(TITLE),
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
    return fold(_("What could be built: try ranges of sizes"), sizes_form(studies, query, []))


def _choices(studies: Studies, query: Query, *, opened: bool) -> Component:
    return fold(_("Another goal, limit, car or part"), plan_form(studies, query), opened=opened)


def _asks(query: Query) -> bool:
    """False if it names nothing but the language of the card."""
    return any(name != "language" for name, _value in query.pairs)


def _of_the_car_at_hand(newest: tuple[str, ...], query: Query) -> Query:
    """The farthest run of the car that ran last, with the losses of its newest attempts."""
    learn = tuple(("learn", run) for run in newest)
    return Query((("goal", Aim.FARTHEST), ("run", newest[0]), *learn, *query.pairs))


def _error_text(error: UnspoolError) -> str:
    """The page's own names in place of the command line's options."""
    return re.sub(r"--[a-z]+(?:-[a-z]+)*", lambda found: _option(found[0]), str(error))


def _option(name: str) -> str:
    limit = name.removeprefix("--").replace("-", "_")
    return _(OPTIONS.get(name) or LIMIT_NAMES.get(limit) or limit.replace("_", " "))


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
        html.P(caution(), className="finding warning"),
        _downloads(query),
        trial_form(plan, query),
        html.Section(
            [
                html.H2(_("What one change would do")),
                picture(
                    tornado_figure(plan),
                    _(
                        "Each bar changes one property of the car by a tenth and winds it at its "
                        "best."
                    ),
                    later("changes"),
                    (plan.car.name, "plan"),
                ),
            ],
            className="pictures one",
        ),
        fold(_("Numbers"), _margins(plan), _miscounts(plan)),
    ]


def _answer(plan: Plan) -> Component:
    return answer(_("Wind {order}.", order=order_words(plan.car.drum)), *_expected(plan))


def _reach(plan: Plan) -> Component:
    """How far the best goes, what holds it back, and how flat it is."""
    p = plan.prediction
    ends = between(p.distance_low_m, p.distance_high_m, "m")
    flat = [
        Tile(
            _("turns on {tier}", tier=one.tier),
            range_words(one),
            note=_("nearly as good, the others to match"),
        )
        for one in reversed(plan.ranges)
    ]
    figures = [
        Tile(
            _("should stop at"),
            quantity(p.distance_m, "m"),
            note=_("9 of 10 attempts: {ends}", ends=ends),
        ),
        Tile(_("held back by"), holds_words(plan), note=limits_words(plan)),
        *flat,
    ]
    return tiles(figures, _("The reach of the best"))


def _finding(finding: Finding) -> Component:
    if finding.severity is Severity.WARNING:
        return html.P([_("Warning: "), sentence(finding)], className="finding warning")
    return html.P(sentence(finding), className="finding")


def _winding(plan: Plan) -> Component:
    rows = [
        (tier.name, quantity(tier.turns, "turns"), quantity(1e3 * tier.string_m, "mm", 0))
        for tier in reversed(plan.car.drum)
        if tier.turns > 0.0
    ]
    caption = _(
        "Wind {car} in this order, for {floor}",
        car=plan.car.name,
        floor=floor_name(plan.track),
    )
    return table(caption, translated(WOUND_HEAD), rows)


def _sentences(plan: Plan, request: PlanRequest) -> list[str]:
    sentences = [
        *_parts(plan, request),
        _gain(plan),
        best_words(plan),
    ]
    if plan.most_informative is not None:
        sentences.append(learn_words(plan, plan.most_informative))
    return sentences


def _parts(plan: Plan, request: PlanRequest) -> list[str]:
    if request.owned != OwnedSizes() and not plan.parts:
        return [_("None of the other parts that you own gains enough to be worth fitting.")]
    return [
        _("Fit the {part} instead of the present one.", part=part_name(part)) for part in plan.parts
    ]


def _expected(plan: Plan) -> list[str]:
    p, mark = plan.prediction, quantity(plan.goal.mark_m, "m")
    low, high = quantity(p.distance_low_m, "m"), quantity(p.distance_high_m, "m")
    sentences = [
        _(
            "It should stop at {place} (90 % from {low} to {high}).",
            place=quantity(p.distance_m, "m"),
            low=low,
            high=high,
        )
    ]
    if plan.learnt_from:
        sentences.append(
            _(
                "The losses come from {attempts}. The interval is that of one more attempt.",
                attempts=attempts_words(plan.learnt_from),
            )
        )
    if plan.mark_s is not None:
        time = quantity(plan.mark_s, "s")
        sentences.append(_("It should pass {mark} after {time}.", mark=mark, time=time))
    return sentences


def _gain(plan: Plan) -> str:
    if plan.gain is None:
        return _("With the winding in its file, the car does not reach the goal at all.")
    gain = signed(plan.gain, plan.goal.unit).removeprefix("+")
    return _(GAINS[plan.goal.aim], gain=gain)


def _margins(plan: Plan) -> Component:
    rows: list[Cells] = [
        (
            _(LIMIT_NAMES[name]),
            quantity(getattr(plan.prediction, name), ""),
            quantity(getattr(plan.limits, name), ""),
        )
        for name in NAMES
    ]
    return table(_("Margins"), translated(MARGIN_HEAD), rows)


def _miscounts(plan: Plan) -> Component:
    """The effect of more or fewer turns on a tier."""
    rows = [
        (
            f"{one.tier} {signed(one.turns, 'turns')}",
            _(UNKNOWN) if one.change is None else signed(one.change, plan.goal.unit),
            quantity(one.distance_m, "m"),
            _("yes") if one.keeps else _("no"),
        )
        for one in plan.miscounts
    ]
    head = (_("if wound"), _(GAIN_HEADS[plan.goal.aim]), _("it stops at"), _("limits kept"))
    return table(_("How much a miscounted turn matters"), head, rows)


def _downloads(query: Query) -> Component:
    fields: dict[str, list[str]] = {}
    for key, value in query.pairs:
        fields.setdefault(key, []).append(value)
    language = language_of(query)
    return html.P(
        [
            sheet_choice("language", _("Language of the card"), list(LANGUAGES.items()), language),
            html.A(_("Winding card (PDF)"), href=address(f"{PATH}/card.pdf", fields), download=""),
            html.A(_("Winding card (page)"), href=address(f"{PATH}/card.html", fields)),
        ],
        className="downloads",
    )
