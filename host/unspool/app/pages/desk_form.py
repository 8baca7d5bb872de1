"""The form of a car or a floor: fields with hints, faults and weights, beside the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.desk import CARS, Desk, Shown, paths
from unspool.app.parts import NUMBER_BOX, attributes, fold
from unspool.app.permissions import may_change
from unspool.car.editing import value_at
from unspool.car.toml_source import Table
from unspool.language import _, later
from unspool.render.words import car_errors, car_fields, floor_fields
from unspool.render.words.form_fields import FormField, Section, usual_words
from unspool.render.words.units import unit_word

# Of each list of tables: one more, one of them, and one away.
MORE = {
    "drum": later("One more tier"),
    "wheels": later("One more axle"),
    "level": later("One more level"),
}
ONE = {
    "drum": later("tier {name}"),
    "wheels": later("axle {name}"),
    "level": later("level {name}"),
}
AWAY = {
    "drum": later("Take tier {name} away"),
    "wheels": later("Take axle {name} away"),
    "level": later("Take level {name} away"),
}
MORE_OF = {"drum": car_errors.DRUM_ERRORS, "wheels": car_errors.WHEEL_ERRORS}


class DeskForm:
    """Makes the fields of one text. raw: the text as tables; shown: what is found of it."""

    def __init__(self, desk: Desk, raw: Table, shown: Shown) -> None:
        self._desk, self._raw, self._shown = desk, raw, shown

    def fields(self) -> list[Component]:
        is_car = self._desk is CARS
        sections = car_fields.SECTIONS if is_car else floor_fields.SECTIONS
        extra = car_errors.ERRORS if is_car else floor_fields.AIR
        return [
            html.Div([self._field(car_fields.NAME, "name")], className="plate"),
            *(part for section in sections for part in self._section(section)),
            self._more(_(extra.title), extra.fields, extra.hint),
        ]

    def _section(self, section: Section) -> Iterator[Component]:
        if section.listed:
            yield from self._list(section)
            return
        parts: list[Component] = [
            html.H2(_(section.title)),
            *self._all(section.fields, section.hint),
        ]
        if section.more:
            parts.append(self._more(_(section.why_more), section.more, ""))
        yield html.Section(parts, className="plate")

    def _list(self, section: Section) -> Iterator[Component]:
        listed = self._raw.get(section.listed)
        tables = listed if isinstance(listed, list) else []
        hint = html.P(_(section.hint) if section.hint else "", className="quiet")
        parts: list[Component] = [html.H2(_(section.title)), hint]
        parts += [self._table(section, number, len(tables)) for number in range(len(tables))]
        if may_change.get():
            more = attributes(data_desk="shape", data_section=section.listed)
            words = _(MORE[section.listed])
            parts.append(html.Button(words, type="button", className="second", **more))
        yield html.Section(parts, className="plate", id=section.listed)

    def _table(self, section: Section, number: int, count: int) -> html.Fieldset:
        name = value_at(self._raw, f"{section.listed}.{number}.name") or number + 1
        parts: list[Component] = [html.Legend(_(ONE[section.listed], name=name))]
        parts += [self._one_of(known, number) for known in section.fields]
        more = (*section.more, *MORE_OF.get(section.listed, ()))
        if more:
            inner = [self._one_of(known, number) for known in more]
            opened = any(self._value(_at(known, number)) for known in more)
            words = _(section.why_more) if section.why_more else _("More")
            both = _("{what}, and how well it is measured", what=words)
            parts.append(fold(both, *inner, opened=opened))
        if may_change.get() and count > 1:
            away = attributes(
                data_desk="shape", data_section=section.listed, data_remove=str(number)
            )
            words = _(AWAY[section.listed], name=name)
            parts.append(html.Button(words, type="button", className="second", **away))
        return html.Fieldset(parts)

    def _one_of(self, known: FormField, number: int) -> html.Div:
        return self._field(known, _at(known, number))

    def _more(self, title: str, fields: Sequence[FormField], hint: str) -> html.Details:
        return fold(title, *self._all(fields, hint), opened=self._used(fields))

    def _all(self, fields: Sequence[FormField], hint: str) -> list[Component]:
        words = [html.P(_(hint), className="quiet")] if hint else []
        return [*words, *(self._field(one, one.path) for one in fields)]

    def _used(self, fields: Sequence[FormField]) -> bool:
        """Whether one of them has a value or a fault, so that it must be seen."""
        return any(
            self._value(path) or path in self._shown.faults
            for one in fields
            for path in paths(self._raw, one)
        )

    def _value(self, path: str) -> str:
        value = value_at(self._raw, path)
        if value is None or value is False:
            return ""
        if isinstance(value, bool):
            return "true"
        return value if isinstance(value, str) else f"{value:.10g}"

    def _field(self, known: FormField, path: str) -> html.Div:
        words = [html.Span(_(known.label), className="name")]
        if known.unit:
            words.append(html.Span(unit_word(known.unit), className="unit"))
        if known.hint:
            words.append(html.Span(_(known.hint), className="hint"))
        matters = self._shown.matters.get(path, "")
        fault = self._shown.faults.get(path, "")
        return html.Div(
            [
                html.Label([*words, self._box(known, path)], **attributes(data_field=path)),
                html.P(matters, className="matters", **attributes(data_matters=path)),
                html.P(fault, className="error", role="alert", **attributes(data_fault=path)),
            ],
            className="field wrong" if fault else "field",
        )

    def _box(self, known: FormField, path: str) -> Component:
        value = self._value(path)
        choices = tuple((choice, _(words)) for choice, words in known.choices)
        if known.path == "encoder.axle":
            choices = tuple((name, name) for name in self._axles(value))
        if not choices:
            kind: Any = {"type": "text", "autoComplete": "off"} if known.text else NUMBER_BOX
            empty = _("{value}, as usual", value=usual_words(known.usual)) if known.usual else ""
            return dcc.Input(
                value=value,
                placeholder=empty,
                disabled=not may_change.get(),
                **kind,
            )
        now = value if value in dict(choices) else choices[0][0]
        options = [
            html.Option(words, value=choice, selected=choice == now) for choice, words in choices
        ]
        return html.Select(options, disabled=not may_change.get())

    def _axles(self, now: str) -> list[str]:
        listed = self._raw.get("wheels")
        tables = listed if isinstance(listed, list) else []
        names = [one.get("name") for one in tables if isinstance(one, dict)]
        return list(dict.fromkeys([*(n for n in names if isinstance(n, str)), now or "none"]))


def _at(known: FormField, number: int) -> str:
    return known.path.replace("*", str(number), 1)
