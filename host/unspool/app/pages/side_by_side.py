"""Side by side: attempts over each other, and whether they differ by more than chance."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.page import Page
from unspool.app.pages.run_choice import SHOWN, at_hand, form, one_of, run_boxes
from unspool.app.pages.study_frame import StudyPage, nothing_yet
from unspool.app.parts import answer, fold, picture, table
from unspool.app.query import Query, address
from unspool.app.run_cache import ListedRun, RunCache
from unspool.app.studies import Studies
from unspool.finding import Severity
from unspool.language import _, later, many
from unspool.render.figures.comparison import beside_figure, spread_figure
from unspool.render.words.comparison import (
    SURE,
    aspect_words,
    caution_sentences,
    difference_sentence,
    mean_words,
    quantity_name,
    repeat_words,
    shown_quantities,
    versus,
)
from unspool.render.words.findings import sentence
from unspool.render.words.result import end_words
from unspool.render.words.side_by_side import headline, lettered
from unspool.render.words.units import quantity
from unspool.study.compare import ASPECTS, Comparison, Difference, Distinction, Group

TITLE, PLACE, PATH = later("Side by side"), "side-by-side", "/side-by-side"
PICTURED = {"distance_m": "distance", "peak_speed_m_s": "top-speed"}


def side_by_side_page(query: Query, studies: Studies) -> Page:
    by = query.one_of("by", ASPECTS) or ASPECTS[0]
    chosen = query.ids()
    entries = studies.runs.choices(SHOWN)
    if not entries:
        return nothing_yet(_(TITLE), PLACE)
    runs = chosen or at_hand(entries)
    enough = len(runs) > 1
    study = StudyPage(
        _(TITLE),
        PLACE,
        lambda opened: _form(studies.runs, entries, runs, by, opened=opened),
        studies.runs.store,
    )
    if not enough:
        return study.form_alone()
    csv = address(f"{PATH}.csv", {"run": runs, "by": by})
    ids = {studies.runs.name(run): run for run in runs}
    return study.of(lambda: studies.comparison(runs, by), lambda made: _result(made, ids, csv))


def _form(
    cache: RunCache, entries: Sequence[ListedRun], runs: tuple[str, ...], by: str, *, opened: bool
) -> Component:
    options = [(aspect, aspect_words(aspect)) for aspect in ASPECTS]
    parts = [
        run_boxes(cache, entries, runs, _("Choose two or more")),
        one_of("by", _("What was changed between them"), options, by),
    ]
    return fold(_("Choose other attempts"), form(PATH, parts, _("Set side by side")), opened=opened)


def _result(comparison: Comparison, ids: dict[str, str], csv: str) -> list[Component]:
    return [
        answer(headline(comparison)),
        _cautions(comparison, Severity.WARNING),
        _over_each_other(comparison),
        _differing(comparison),
        _attempts(comparison, ids),
        _by_chance(comparison),
        _scatter(comparison),
        html.P(html.A(_("Table (CSV)"), href=csv, download=""), className="downloads"),
    ]


def _cautions(comparison: Comparison, severity: Severity) -> Component:
    found = [caution for caution in comparison.cautions if caution.severity is severity]
    texts = caution_sentences(found)
    if severity is Severity.WARNING:
        texts[:0] = [
            _("Left out: {run}. {why}", run=one.run, why=sentence(one.why))
            for one in comparison.left_out
        ]
    items = [
        html.Li([html.Strong(_("Caution: ")), text], className="finding warning") for text in texts
    ]
    return html.Ul(items, className="findings")


def _over_each_other(comparison: Comparison) -> Component:
    caption = _(
        "Speed along each attempt. Below: how much faster or slower the others were than the first "
        "at each distance, on average. The band is the {share} interval.",
        share=SURE,
    )
    return html.Section(
        [
            *_letters(comparison),
            picture(beside_figure(comparison), caption, "speeds", _saved_as(comparison)),
        ],
        className="pictures one",
    )


def _letters(comparison: Comparison) -> list[Component]:
    """What the letters in the picture stand for."""
    named = [(letter, group) for letter, group in lettered(comparison.groups) if letter]
    lines = [html.Li([html.Strong(f"{letter} "), group.name]) for letter, group in named]
    return [html.Ul(lines, className="letters")] if lines else []


def _saved_as(comparison: Comparison) -> tuple[str, str]:
    """The names in the file of a saved picture."""
    runs = [run for group in comparison.groups for run in group.runs]
    cars = {run.car.name for run in runs}
    return (cars.pop() if len(cars) == 1 else f"{len(cars)} cars", f"{len(runs)} runs")


def _differing(comparison: Comparison) -> Component:
    """What differs by more than chance, the largest difference of each pair of groups first."""
    parts: list[Component] = []
    for pair in versus(comparison):
        sure = [d for d in pair.differences if d.verdict is Distinction.DIFFERENT]
        if sure:
            parts += [html.H3(pair.heading), _differences(sure)]
    if not parts:
        parts = [html.P(_("Nothing differs by more than chance may show."))]
    return html.Section([html.H2(_("What differs")), *parts])


def _differences(differences: Sequence[Difference]) -> Component:
    """The severity is a word too, because colour alone says nothing."""
    items = [
        html.Li(
            [html.Strong(_("Different. ")), difference_sentence(d)]
            if d.verdict is Distinction.DIFFERENT
            else difference_sentence(d),
            className="finding" if d.verdict is Distinction.DIFFERENT else "finding plain",
        )
        for d in differences
    ]
    return html.Ul(items, className="findings")


def _attempts(comparison: Comparison, ids: dict[str, str]) -> Component:
    rows = [
        (
            dcc.Link(run.name, href=f"/attempts/{ids[run.name]}"),
            f"{letter} {group.name}".strip(),
            end_words(run.reading.motion, run.reading.distance_m),
            quantity(run.reading.peak_speed_m_s, "m/s", 2),
            run.note or _("no note"),
        )
        for letter, group in lettered(comparison.groups)
        for run in group.runs
    ]
    changed = aspect_words(comparison.by)
    head = (_("attempt"), changed, _("distance"), _("top speed"), _("note"))
    caption = many("The attempt", "All {count} attempts", len(rows))
    return table(caption, head, rows)


def _by_chance(comparison: Comparison) -> Component:
    parts: list[Component] = [_cautions(comparison, Severity.NOTE)]
    for pair in versus(comparison):
        open_ones = [d for d in pair.differences if d.verdict is not Distinction.DIFFERENT]
        parts += [html.H3(pair.heading), _differences(open_ones)]
    return fold(_("What may be chance"), *parts)


def _scatter(comparison: Comparison) -> Component:
    spreads = [
        picture(
            spread_figure(comparison, key),
            _(
                "Each mark is an attempt. The bar below is their mean with its {share} interval, "
                "if there are enough of them for one.",
                share=SURE,
            ),
            what,
            _saved_as(comparison),
        )
        for key, what in PICTURED.items()
    ]
    tables = (_table(group, comparison) for group in comparison.groups)
    return fold(_("How well they repeat"), *spreads, *tables)


def _table(group: Group, comparison: Comparison) -> Component:
    rows = [
        (quantity_name(q), mean_words(group.summary(q.key)), repeat_words(group.summary(q.key)))
        for q in shown_quantities(comparison)
    ]
    head = ("", _("mean ({share})", share=SURE), _("two attempts differ by less than"))
    attempts = many("{count} attempt", "{count} attempts", len(group.runs))
    return table(f"{group.name}, {attempts}", head, rows)
