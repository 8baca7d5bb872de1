"""Which sizes to build: every set of a few ranges, wound at its best, and what limits it."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, at_hand
from unspool.app.pages.sizes_form import sizes_form, sizes_request
from unspool.app.pages.study_frame import StudyPage, nothing_yet
from unspool.app.pages.winding_form import PATH as PLAN_PATH
from unspool.app.pages.winding_form import choices
from unspool.app.parts import answer, fold, picture, table
from unspool.app.query import Query, address
from unspool.app.studies import Studies
from unspool.language import _, later, translated
from unspool.render.figures.sweep import sweep_figures
from unspool.render.words.safety import caution
from unspool.render.words.sweep import NEARLY_HEAD, best_sentences, nearly_rows
from unspool.study.sweep import Sweep

TITLE, PLACE = later("Sizes to build"), "next-winding"


def sizes_page(query: Query, studies: Studies) -> Page:
    newest = at_hand(studies.runs.choices(SHOWN))
    if not newest:
        return nothing_yet(_(TITLE), PLACE)
    asked = query if query.ids() else Query((*query.pairs, ("run", newest[0])))
    study = StudyPage(
        _(TITLE), PLACE, lambda opened: _choices(studies, asked, opened=opened), studies.runs.store
    )
    return study.of(
        lambda: studies.sizes(sizes_request(studies, asked)), lambda found: _result(found, asked)
    )


def _choices(studies: Studies, query: Query, *, opened: bool) -> Component:
    more = html.Details([html.Summary(_("Goal, limits, car and losses")), *choices(studies, query)])
    return fold(_("Other sizes"), sizes_form(studies, query, [more]), opened=opened)


def _result(sweep: Sweep, query: Query) -> list[Component]:
    first, *more = best_sentences(sweep)
    same = {"run": query.ids(), "learn": query.ids("learn"), "mark": sweep.goal.mark_m}
    plan = address(PLAN_PATH, {"goal": sweep.goal.aim, **same})
    back = dcc.Link(_("Back to the winding of the car as it is"), href=plan)
    return [
        answer(first, *more),
        *[
            html.Section(
                picture(one.figure, one.caption, one.name, (sweep.car.name, "sizes")),
                className="pictures one",
            )
            for one in sweep_figures(sweep)
        ],
        table(_("How far each size can be off"), translated(NEARLY_HEAD), nearly_rows(sweep)),
        html.P(caution(), className="finding warning"),
        html.P(back, className="links"),
    ]
