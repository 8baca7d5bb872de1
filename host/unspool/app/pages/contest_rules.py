"""The rules of a contest as a form: what most contests set, with classes and penalties."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.pages.contest_form import chosen, form, say, typed
from unspool.app.parts import fold
from unspool.contest import By, Class, Contest, Measure, Penalty, Rules, Score, Ties, rules_toml
from unspool.language import _, localised
from unspool.render.words.contest_rules import LABELS, UNITS

SPARE = 2  # empty rows for further classes and penalties
CLASS = ("name", "weight_min_g", "weight_max_g", "age_min", "age_max")
PENALTY = ("name", "metres", "seconds")


def rules_fold(state: Contest) -> Component:
    rules = state.rules
    keep = say(_("Keep these rules"), "rules-form", rows=f"{_rows(rules)}")
    fields = [*_attempts(rules), *_classes(rules), *_penalties(rules)]
    whole = form("", fields, [keep], keep=True)
    return fold(_("Rules"), whole, fold(_("Rules as text"), _text(rules)))


def _rows(rules: Rules) -> int:
    """How many rows of classes or of penalties the form has at most."""
    return max(len(rules.classes), len(rules.penalties)) + SPARE


def _attempts(rules: Rules) -> list[Component]:
    return [
        _number(rules, "attempts"),
        chosen("measure", _(LABELS["measure"]), _measures(), rules.measure),
        _number(rules, "mark_m"),
        chosen("by", _(LABELS["by"]), _ways(), rules.by),
        chosen("score", _(LABELS["score"]), _scores(), rules.score),
        _number(rules, "drop_worst"),
        chosen("ties", _(LABELS["ties"]), _ties(), rules.ties),
        chosen("order", _(LABELS["order"]), _orders(), rules.order),
        chosen("forecast", _(LABELS["forecast"]), _forecasts(), rules.forecast),
        _number(rules, "resolution"),
        _number(rules, "doubt_m"),
    ]


def _measures() -> Mapping[str, str]:
    return {
        Measure.FURTHEST: _("how far it comes"),
        Measure.RESTING: _("where it stops"),
        Measure.TIME: _("the time to a mark"),
    }


def _ways() -> Mapping[str, str]:
    return {
        By.TAPE: _("tape or stopwatch"),
        By.WHEEL: _("the wheel's sensor"),
        By.TAPE_FIRST: _("tape or stopwatch, or else the sensor"),
        By.WHEEL_FIRST: _("the sensor, or else tape or stopwatch"),
    }


def _scores() -> Mapping[str, str]:
    return {
        Score.BEST: _("the best attempt"),
        Score.MEAN: _("the mean of the attempts"),
        Score.SUM: _("the sum of the attempts"),
    }


def _ties() -> Mapping[str, str]:
    return {
        Ties.NEXT_BEST: _("the next best attempt decides, then a run-off"),
        Ties.RUN_OFF: _("a run-off decides"),
        Ties.SHARED: _("they share the place"),
    }


def _orders() -> Mapping[str, str]:
    return {"same": _("the same in each round"), "reversed": _("every second round backwards")}


def _forecasts() -> Mapping[str, str]:
    return {"absolute": _("in metres or seconds"), "relative": _("as a share of the score")}


def _number(rules: Rules, name: str) -> Component:
    return typed(name, _(LABELS[name]), UNITS.get(name, ""), value=_shown(getattr(rules, name)))


def _shown(value: Any) -> str:
    """As it would be typed; nothing for what is not set."""
    if value is None or value == "":
        return ""
    return value if isinstance(value, str) else localised(f"{value:.10g}")


def _classes(rules: Rules) -> list[Component]:
    note = _("A car is in the first class that it fits. Without classes, all cars are in one.")
    rows = [_row("class", n, CLASS, one) for n, one in enumerate(_padded(rules.classes))]
    return [html.H3(_("Classes")), html.P(note, className="quiet"), *rows]


def _penalties(rules: Rules) -> list[Component]:
    note = _("Each is a button on the judge's page.")
    rows = []
    for number, one in enumerate(_padded(rules.penalties)):
        row = _row("penalty", number, PENALTY, one)
        void = {"": _("stays"), "void": _("counts as no result")}
        now = "void" if isinstance(one, Penalty) and one.void else ""
        row.children.append(chosen(f"penalty-{number}-void", _(LABELS["void"]), void, now))
        rows.append(row)
    return [html.H3(_("Penalties")), html.P(note, className="quiet"), *rows]


def _padded(those: tuple[Class, ...] | tuple[Penalty, ...]) -> list[Any]:
    return [*those, *[None] * SPARE]


def _row(kind: str, number: int, names: tuple[str, ...], one: Any) -> html.Div:
    fields = []
    for name in names:
        value = getattr(one, name, None)
        shown = _shown(None if value == 0.0 else value)
        label, unit = _(LABELS[name]), UNITS.get(name, "")
        fields.append(typed(f"{kind}-{number}-{name}", label, unit, name != "name", shown))
    return html.Div(fields, className=f"row of-{kind}")


def _text(rules: Rules) -> Component:
    """For those who keep their rules in a file."""
    text = dcc.Textarea(id={"contest": "rules"}, name="rules", value=rules_toml(rules), rows=14)
    box = html.Label([html.Span(_("Rules (TOML; docs/formats.md lists them)")), text])
    return form("", [box], [say(_("Keep this text"), "rules")], keep=True)
